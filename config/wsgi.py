import os

from django.core.wsgi import get_wsgi_application

from config.memory import settle

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()
# Once for all of the server's processes.
settle()
