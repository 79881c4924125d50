"""What was found, in lines for people."""

from bagatelle.kit.checks import CHECKS, CheckReport


def report_lines(report: CheckReport) -> list[str]:
    """One line where all is well; else each fault with its check, and what was not checked."""
    if report.is_right:
        line = (
            f"{report.name} is right: {len(CHECKS)} checks of {_counted(len(report.exercises), 'exercise')} "
            f"in {_counted(len(report.locales), 'locale')}, {report.settings_tried} settings tried."
        )
        return [line]
    found = [(check, fault) for check, faults in report.faults.items() for fault in faults]
    lines = [f"{report.name} has {_counted(len(found), 'fault')}:"]
    lines += [f"  {check}: {fault}" for check, fault in found]
    if report.not_checked:
        lines.append(f"  not checked, as it must be loaded first: {', '.join(report.not_checked)}")
    return lines


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
