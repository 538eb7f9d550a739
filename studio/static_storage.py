"""Static files under names that carry a hash of their content."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StudioStaticStorage(CompressedManifestStaticFilesStorage):
    """Also rewrites the imports inside ES modules, so that a new release is never half old."""

    support_js_module_import_aggregation = True
