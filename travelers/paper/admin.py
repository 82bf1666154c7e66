"""Which printed sheets are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import ReadOnly
from travelers.paper.models import Sheet


@admin.register(Sheet)
class SheetAdmin(ReadOnly):
    list_display = ("paper", "of", "copy", "printed_at", "printed_by")
    list_filter = ("paper",)
    list_select_related = ("printed_by",)
    ordering = ("-id",)
    search_fields = ("=of",)
    show_full_result_count = False
