"""What survives a kill in mid-load: real servers over HTTP, kill -9, and the book looked at afterwards."""
