"""How written figures and abbreviations sound."""

import pytest

from seeds.spoken import spoken


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("at least 4/32", "at least four thirty-seconds"),
        ("4/32 inch", "four thirty-seconds of an inch"),
        ("below 2/32 in.", "below two thirty-seconds of an inch."),
        ("1/2 to 3/4 inch", "one half to three quarters of an inch"),
        ("1 1/2 inches", "one and a half inches"),
        ("over 1/8 tank", "over one eighth tank"),
        ("120-140 psi", "120 to 140 P S I"),
        ("PSI and psi", "P S I and P S I"),
        ("5 mph", "5 miles an hour"),
        ("DEF gauge, def not", "D E F gauge, def not"),
        ("Tyres, tyre tread", "Tires, tire tread"),
        ("trainee T-04", "trainee T oh four"),
        ("no leaks, nothing bent", "no leaks, nothing bent"),
        ("the bolts in the drum", "the bolts in the drum"),
    ],
)  # fmt: skip
def test_spoken(written: str, said: str) -> None:
    assert spoken(written) == said
