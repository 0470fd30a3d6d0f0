"""The usual cautions, in plain words: what a workshop knows, no published source."""

CAUTIONS = (
    (
        "Blades",
        "A sharp blade needs little force and slips less than a blunt one. Cut along a steel rule in several light"
        " passes, fingers behind the edge and clear of the line; cap it when you put it down.",
    ),
    (
        "Hot glue",
        "It burns, and it sticks where it burns. Keep the gun on its stand and cold water at hand; use the low"
        " setting on foam.",
    ),
    (
        "Fumes",
        "Foam, its paper and its glue give off fumes under a hot wire, a hot knife or a laser. Work in moving air, and"
        " stop when it smells. Instant glue and solvents want an open window, too.",
    ),
    (
        "Lasers",
        "Know what a sheet is before you cut it: some plastics give off chlorine or cyanide, and foam catches fire."
        " Never leave a running laser alone, keep its cover shut, and follow its maker and the rules of its room.",
    ),
    (
        "Lead",
        "It is poisonous. Wear gloves or wash your hands, do not file, sand or melt it where people live, keep it from"
        " children; glue it in so that it cannot come loose. Steel does as well where there is room.",
    ),
    (
        "Batteries",
        "Lithium cells burn when they are pierced, bent, shorted, charged wrongly or left alone on a charger. Follow"
        " their maker; charge on stone, in sight; take a swollen one out of use and to a collecting point.",
    ),
    (
        "Propellers",
        "They do not stop for fingers. Take the propeller off while you work on the motor; stand behind it, never"
        " beside it, when it runs; hold the model so that it cannot move.",
    ),
    (
        "Flying",
        "This book is arithmetic: it does not know whether a model is strong enough or fit to fly. Check the balance and"
        " the throws on the finished model, and make its first flights with experienced help, clear of people. Local"
        " rules come first: registration, insurance, where and how high one may fly, and what is left to those who hold a"
        " licence.",
    ),
)
"""What to take care with, and how."""
