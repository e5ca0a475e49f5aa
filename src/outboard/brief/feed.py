"""The feed of a design file: which of its keys go together, and what they make."""

from collections.abc import Collection, Mapping

from outboard.brief.design import Feed
from outboard.brief.explicit import check_type
from outboard.brief.feed_entries import ASKS, FEED, ONE_OF
from outboard.brief.findings import Findings
from outboard.brief.places import Places
from outboard.brief.values import Values


def check_feed(raw: object, values: Values, findings: Findings, known_types: Collection[str] | None) -> None:
    """Notes what is missing, what is there twice, and what asks for another key."""
    if not isinstance(raw, Mapping):
        return
    check_type(values.get("diode"), ("feed", "diode"), findings, known_types)
    for one, other in ONE_OF:
        if one in raw and other in raw:
            what = f"{other} is there already, and says the same"
            findings.add(("feed", one), what, f"{one} or {other}, not both", at_key=True)
        elif one not in raw and other not in raw:
            what = f"neither {one} nor {other} is given"
            findings.add(("feed",), what, f"{one}: {FEED[one].meaning}", f"{one} = {FEED[one].example}", at_key=True)
    for key, (wanted, reason) in ASKS.items():
        if key in raw and wanted not in raw:
            findings.add(("feed", key), reason, f"{wanted} as well", f"{wanted} = {FEED[wanted].example}", at_key=True)
    _check_sense(values, findings)


def _check_sense(values: Values, findings: Findings) -> None:
    """A primary for another mains is more often a slip than meant."""
    mains, primary = values.get("mains"), values.get("primary")
    if mains is not None and primary is not None and not 0.5 * primary <= mains.usual <= 2.0 * primary:
        what = "the usual mains is far from the rated voltage of the primary"
        findings.add(("feed", "primary"), what, "the voltage at which the secondary is rated",
                     f'primary = "{mains.usual:g} V"')  # fmt: skip


def feed_of(values: Values | None, places: Places) -> Feed | None:
    """The feed as written."""
    if values is None:
        return None
    whole: Values = {key: values.get(key, entry.default) for key, entry in FEED.items()}
    return Feed(**whole, places={key: places.value(("feed", key)) for key in values})
