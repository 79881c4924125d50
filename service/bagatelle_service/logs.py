"""Log lines, plain or JSON, on standard error. Bodies, queries and tokens are never in them."""

import logging
import logging.config
from datetime import UTC, datetime
from typing import Literal

import msgspec


class JsonFormatter(logging.Formatter):
    """One JSON object a line."""

    def format(self, record: logging.LogRecord) -> str:
        """Write the record as JSON: time (RFC 3339, UTC), level, logger, message, and the fault if there is one."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        if record.exc_info:
            line["fault"] = self.formatException(record.exc_info)
        return msgspec.json.encode(line).decode()


def log_configuration(form: Literal["plain", "json"]) -> dict[str, object]:
    """Give the configuration for `logging.config.dictConfig`."""
    formatters = {
        "plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"},
        "json": {"()": JsonFormatter},
    }
    handler = {"class": "logging.StreamHandler", "formatter": form, "stream": "ext://sys.stderr"}
    loggers = {name: {"handlers": ["stderr"], "level": "INFO", "propagate": False} for name in LOGGERS}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": formatters,
        "handlers": {"stderr": handler},
        "loggers": loggers,
    }


LOGGERS = ("bagatelle", "bagatelle_service", "_granian")
