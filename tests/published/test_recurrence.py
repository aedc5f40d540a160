"""
The printed examples of RFC 5545, unrolled in New York.

Source: RFC 5545, section 3.8.5.3; every example begins at 09:00 local time.
"""

from datetime import datetime

import pytest

from planner.values.bench import expand_rule

NEW_YORK = "America/New_York"

CASES = [
    (
        "daily-10",
        "19970902T090000",
        "FREQ=DAILY;COUNT=10",
        None,
        """
        1997-09-02 EDT, 1997-09-03 EDT, 1997-09-04 EDT, 1997-09-05 EDT, 1997-09-06 EDT,
        1997-09-07 EDT, 1997-09-08 EDT, 1997-09-09 EDT, 1997-09-10 EDT, 1997-09-11 EDT
        """,
    ),
    (
        "daily-until",
        "19970902T090000",
        "FREQ=DAILY;UNTIL=19971224T000000Z",
        None,
        """
        1997-09-02 EDT, 1997-09-03 EDT, 1997-09-04 EDT, 1997-09-05 EDT, 1997-09-06 EDT,
        1997-09-07 EDT, 1997-09-08 EDT, 1997-09-09 EDT, 1997-09-10 EDT, 1997-09-11 EDT,
        1997-09-12 EDT, 1997-09-13 EDT, 1997-09-14 EDT, 1997-09-15 EDT, 1997-09-16 EDT,
        1997-09-17 EDT, 1997-09-18 EDT, 1997-09-19 EDT, 1997-09-20 EDT, 1997-09-21 EDT,
        1997-09-22 EDT, 1997-09-23 EDT, 1997-09-24 EDT, 1997-09-25 EDT, 1997-09-26 EDT,
        1997-09-27 EDT, 1997-09-28 EDT, 1997-09-29 EDT, 1997-09-30 EDT, 1997-10-01 EDT,
        1997-10-02 EDT, 1997-10-03 EDT, 1997-10-04 EDT, 1997-10-05 EDT, 1997-10-06 EDT,
        1997-10-07 EDT, 1997-10-08 EDT, 1997-10-09 EDT, 1997-10-10 EDT, 1997-10-11 EDT,
        1997-10-12 EDT, 1997-10-13 EDT, 1997-10-14 EDT, 1997-10-15 EDT, 1997-10-16 EDT,
        1997-10-17 EDT, 1997-10-18 EDT, 1997-10-19 EDT, 1997-10-20 EDT, 1997-10-21 EDT,
        1997-10-22 EDT, 1997-10-23 EDT, 1997-10-24 EDT, 1997-10-25 EDT, 1997-10-26 EST,
        1997-10-27 EST, 1997-10-28 EST, 1997-10-29 EST, 1997-10-30 EST, 1997-10-31 EST,
        1997-11-01 EST, 1997-11-02 EST, 1997-11-03 EST, 1997-11-04 EST, 1997-11-05 EST,
        1997-11-06 EST, 1997-11-07 EST, 1997-11-08 EST, 1997-11-09 EST, 1997-11-10 EST,
        1997-11-11 EST, 1997-11-12 EST, 1997-11-13 EST, 1997-11-14 EST, 1997-11-15 EST,
        1997-11-16 EST, 1997-11-17 EST, 1997-11-18 EST, 1997-11-19 EST, 1997-11-20 EST,
        1997-11-21 EST, 1997-11-22 EST, 1997-11-23 EST, 1997-11-24 EST, 1997-11-25 EST,
        1997-11-26 EST, 1997-11-27 EST, 1997-11-28 EST, 1997-11-29 EST, 1997-11-30 EST,
        1997-12-01 EST, 1997-12-02 EST, 1997-12-03 EST, 1997-12-04 EST, 1997-12-05 EST,
        1997-12-06 EST, 1997-12-07 EST, 1997-12-08 EST, 1997-12-09 EST, 1997-12-10 EST,
        1997-12-11 EST, 1997-12-12 EST, 1997-12-13 EST, 1997-12-14 EST, 1997-12-15 EST,
        1997-12-16 EST, 1997-12-17 EST, 1997-12-18 EST, 1997-12-19 EST, 1997-12-20 EST,
        1997-12-21 EST, 1997-12-22 EST, 1997-12-23 EST
        """,
    ),
    (
        "weekly-10",
        "19970902T090000",
        "FREQ=WEEKLY;COUNT=10",
        None,
        """
        1997-09-02 EDT, 1997-09-09 EDT, 1997-09-16 EDT, 1997-09-23 EDT, 1997-09-30 EDT,
        1997-10-07 EDT, 1997-10-14 EDT, 1997-10-21 EDT, 1997-10-28 EST, 1997-11-04 EST
        """,
    ),
    (
        "tue-thu-5wk-until",
        "19970902T090000",
        "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
        None,
        """
        1997-09-02 EDT, 1997-09-04 EDT, 1997-09-09 EDT, 1997-09-11 EDT, 1997-09-16 EDT,
        1997-09-18 EDT, 1997-09-23 EDT, 1997-09-25 EDT, 1997-09-30 EDT, 1997-10-02 EDT
        """,
    ),
    (
        "biweekly-MWF-until",
        "19970901T090000",
        "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
        None,
        """
        1997-09-01 EDT, 1997-09-03 EDT, 1997-09-05 EDT, 1997-09-15 EDT, 1997-09-17 EDT,
        1997-09-19 EDT, 1997-09-29 EDT, 1997-10-01 EDT, 1997-10-03 EDT, 1997-10-13 EDT,
        1997-10-15 EDT, 1997-10-17 EDT, 1997-10-27 EST, 1997-10-29 EST, 1997-10-31 EST,
        1997-11-10 EST, 1997-11-12 EST, 1997-11-14 EST, 1997-11-24 EST, 1997-11-26 EST,
        1997-11-28 EST, 1997-12-08 EST, 1997-12-10 EST, 1997-12-12 EST, 1997-12-22 EST
        """,
    ),
    (
        "first-Fri-10",
        "19970905T090000",
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        None,
        """
        1997-09-05 EDT, 1997-10-03 EDT, 1997-11-07 EST, 1997-12-05 EST, 1998-01-02 EST,
        1998-02-06 EST, 1998-03-06 EST, 1998-04-03 EST, 1998-05-01 EDT, 1998-06-05 EDT
        """,
    ),
    (
        "2nd-last-Mon",
        "19970922T090000",
        "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        None,
        """
        1997-09-22 EDT, 1997-10-20 EDT, 1997-11-17 EST, 1997-12-22 EST, 1998-01-19 EST,
        1998-02-16 EST
        """,
    ),
    (
        "3rd-last-day",
        "19970928T090000",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        6,
        """
        1997-09-28 EDT, 1997-10-29 EST, 1997-11-28 EST, 1997-12-29 EST, 1998-01-29 EST,
        1998-02-26 EST
        """,
    ),
    (
        "first-Sat-after-first-Sun",
        "19970913T090000",
        "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13",
        10,
        """
        1997-09-13 EDT, 1997-10-11 EDT, 1997-11-08 EST, 1997-12-13 EST, 1998-01-10 EST,
        1998-02-07 EST, 1998-03-07 EST, 1998-04-11 EDT, 1998-05-09 EDT, 1998-06-13 EDT
        """,
    ),
    (
        "third-TuWeTh",
        "19970904T090000",
        "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3",
        None,
        """
        1997-09-04 EDT, 1997-10-07 EDT, 1997-11-06 EST
        """,
    ),
    (
        "2nd-last-weekday",
        "19970929T090000",
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
        7,
        """
        1997-09-29 EDT, 1997-10-30 EST, 1997-11-27 EST, 1997-12-30 EST, 1998-01-29 EST,
        1998-02-26 EST, 1998-03-30 EST
        """,
    ),
    (
        "invalid-Feb30",
        "20070115T090000",
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        None,
        """
        2007-01-15 EST, 2007-01-30 EST, 2007-02-15 EST, 2007-03-15 EDT, 2007-03-30 EDT
        """,
    ),
    (
        "fri-13 (EXDATE dtstart)",
        "19970902T090000",
        "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13",
        5,
        """
        1998-02-13 EST, 1998-03-13 EST, 1998-11-13 EST, 1999-08-13 EDT, 2000-10-13 EDT
        """,
    ),
]


@pytest.mark.parametrize(
    ("name", "dtstart", "rule", "take", "printed"),
    CASES,
    ids=[case[0] for case in CASES],
)
def test_the_rules_unroll_as_printed(name, dtstart, rule, take, printed):
    """Day by day, with the time zone in force; the hour stays 09:00 throughout."""
    opens = datetime.strptime(dtstart, "%Y%m%dT%H%M%S")
    found = expand_rule(opens, rule, NEW_YORK, take)

    assert [f"{start:%Y-%m-%d %Z}" for start in found] == [
        " ".join(day.split()) for day in printed.split(",")
    ]
    assert {f"{start:%H:%M}" for start in found} == {"09:00"}
