"""Template tags every page has. One small module a picture does the drawing; this only names them."""

from django import template

register = template.Library()
