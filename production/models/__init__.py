from production.models.want import Want

__all__ = ["Want"]
