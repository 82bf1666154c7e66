"""What does the server of the bare view call?"""

import os

from django.core.wsgi import get_wsgi_application

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.bare.settings"
application = get_wsgi_application()
