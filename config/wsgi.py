import os

from django.core.wsgi import get_wsgi_application
from django.urls import resolve

from config.memory import settle

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()
# Loads the pages now, once for all of the server's processes, and not while the first visitor waits.
resolve("/")
settle()
