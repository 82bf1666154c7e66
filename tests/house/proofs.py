"""What is claimed of scans, faults and clocks, and which test proves each claim?

A test proves a claim by its mark: ``@pytest.mark.proof("R1")``.  ``make docs`` draws
``docs/proofs.md``; ``OPEN`` says of what is not proved why not.
"""

from collections.abc import Mapping

# Nothing is lost and nothing counts twice (R); work goes on when something fails (D).
PROOFS: Mapping[str, str] = {
    "R1": "kill -9 of the server, 200 times under 20 tablets: nothing lost or doubled",
    "R2": "kill -9 of a tablet's browser with 50 waiting scans: all arrive once",
    "R3": "One scan sent a thousand times by eight at once: one effect, one answer",
    "R4": "The same id with another content: refused, nothing changed, it is told",
    "R5": "Two tablets finish a step at once, pair after pair: one wins, one is told",
    "R6": "Eight tablets without think time: no try goes without an answer",
    "R7": "A full disk: said in words, nothing acknowledged that is not stored",
    "R8": "A writer that is blocked is answered in words, and then all is normal",
    "R9": "PostgreSQL restarted under load: nothing lost, all answered again",
    "R10": "Server or database away: said in words; 500 waiting scans in within 60 s",
    "R11": "Serialization failures and deadlocks are tried again and never shown",
    "R12": "A background job whose worker is killed ends exactly once",
    "R13": "Stored, but the answer was lost: the repeat gets the first answer",
    "R14": "Every connection waits for the disk, as was promised",
    "R15": "Two servers on one file, or a SQLite with the fault of its log: no harm",
    "R16": "A tablet's clock days off, or changed in mid-shift: order and times hold",
    "R17": "Nights in which clocks change, and leap days: right to the second",
    "R18": "Three days offline, 2,000 presses, a removed person, a revised route",
    "R19": "Reordered, doubled and lost messages: the state of a plain model",
    "R24": "A changed, removed or swapped record, or a cut end, is found and named",
    "S5": "A removed person and a revoked tablet are refused within a second",
    "D1": "Ten minutes without Wi-Fi: work goes on, nobody signs in again",
    "D2": "A tablet's store is full: a loud word before a press is taken",
    "D3": "A new version while tablets are open: no page of two halves",
    "D4": "No certificate, or one that ran out: it is said, and scanners work",
    "D5": "What prints PDFs is missing or fails: it is said, and work goes on",
    "D6": "What draws charts is missing: every page works, with its table",
    "D7": "The scanner is broken: all by touch, within twice the touches",
}
OPEN: Mapping[str, str] = {
    "R12": "there are no background jobs: all is done in the request that asks for it",
}
