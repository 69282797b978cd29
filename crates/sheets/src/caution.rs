//! The cautions that every set of sheets carries.
//!
//! In: nothing. Out: sentences. They name what must be thought of and who decides; where rules differ from place to
//! place they give no number. Sources: general practice of hot work, work at height and bitumen fumes as collected from
//! published guidance; each sheet defers to the maker's data sheet, the local code and licensed practice.

/// The few that stand on the first sheet.
pub const SHORT: [&str; 7] = [
    "Hot work: no start without the permit and a named fire watch.",
    "Melter off the roof unless the local code allows it; never unattended while lit.",
    "Gas bottles upright, away from the flame and from openings.",
    "Edges and openings guarded before anyone lays.",
    "Deck dry, clean, frost-free. Bond test each morning at the first bay.",
    "Burns: cool at once, do not peel, show the burns card.",
    "The maker's data sheet, the local code and licensed practice go before this sheet.",
];

/// The few that stand on the plan of the drainage sheet.
pub const DRAINAGE_SHORT: [&str; 1] = [
    "Worked out from the levels put in; approves nothing. The local code, the maker's data sheet and licensed practice go first.",
];

/// Those of the drainage sheet, under their heads.
pub const DRAINAGE: [(&str, &[&str]); 5] = [
    (
        "This sheet",
        &[
            "It works out falls, ponds, catchments and flows from the levels, the rain and the outlets put in. It is not a \
             drainage design and approves nothing.",
            "Where it differs from the local code, the maker's data sheet, the warranty's conditions or the judgement of \
             licensed people, they go first.",
        ],
    ),
    (
        "Levels",
        &[
            "Between levels the deck is taken to be made of flat facets. A hollow or a hump between two levels is not on this \
             sheet: take levels close enough, and at every outlet, corner, ridge and low line.",
            "A deck bends under its load, and goes on bending. Falls of a new deck and of the deck in use differ: whether water \
             that stands is borne is for whoever answers for the structure.",
            "Levels assumed beyond those given are guesses: check them before anything rests on them.",
        ],
    ),
    (
        "Rain and outlets",
        &[
            "Rain, how much of it runs off, what walls add and any factor of safety are set by the local code: they are put in by \
             the user, and this sheet does not choose them.",
            "What an outlet takes is worked out by the weir and the orifice formula for the opening and the depth given. The \
             figure of its maker, tested with its strainer, goes first. Pipes below it are not checked.",
            "How many outlets and overflows a roof needs, and how high an overflow stands, are set by the local code. Strainers \
             block: see what happens with one outlet blocked.",
        ],
    ),
    (
        "Ponds",
        &[
            "Some water is left on any deck by laps, tolerances and the drag of its surface. A dry plan does not promise a dry \
             deck; test it with water where the code or the client asks for it.",
            "Whether falls below the least of the rule set are allowed, and on which conditions, is for the local code, the \
             warranty and the membrane's maker.",
        ],
    ),
    (
        "Edges and laps",
        &[
            "The verdicts say where an edge or a lap lies, not whether it leaks. Which side lies on top follows from the order of \
             laying: keep to the numbers of the bays.",
        ],
    ),
];

/// All of them, under their heads.
pub const ALL: [(&str, &[&str]); 8] = [
    (
        "This sheet",
        &[
            "It sets out reinforcement, bays and cuts. It is not a specification, a method statement or a permit, and it \
             checks neither the structure nor the drainage.",
            "Where it differs from the maker's data sheet, the local code, the warranty's conditions or the judgement of \
             licensed people on site, they go first.",
            "Check the main sizes and both diagonals on the deck before the first cut. Tell the planner what differs; do \
             not make a sheet fit by growing or shrinking laps.",
        ],
    ),
    (
        "Hot work",
        &[
            "Bitumen melters, torches and hot tools are hot work: permit first, fire watch named, extinguishers of the kind \
             and size the local rule asks for at the melter and on the roof.",
            "How long the watch goes on after the last flame, and what must be cleared how far away, differ from place to \
             place: take the strictest rule that binds the job.",
        ],
    ),
    (
        "Melter",
        &[
            "Some codes forbid a melter on or in a building altogether. Its place, its distance from openings, exits and \
             anything that burns, and how near its attendant stays are set by the local code.",
            "Attended while lit. Never above the temperature on the maker's data sheet; thermometers working; blocks put in \
             gently and few at a time; nothing wet goes in; lid within reach.",
            "Never carry hot material up a ladder. Nobody under a hoist.",
        ],
    ),
    (
        "Gas",
        &[
            "Bottles upright and secured, away from the burner, drains and openings as the local code says; hoses and joints \
             tested for leaks before lighting; valves shut when nobody is there.",
        ],
    ),
    (
        "Heights",
        &[
            "Edge protection and covers over openings, roof lights and shafts stand before work begins and stay until it is \
             done. A line on this sheet marks an edge; it does not guard it.",
            "Keep the way off open: bays are numbered so that nobody needs to cross what is still hot.",
        ],
    ),
    (
        "Burns and fumes",
        &[
            "Cool a bitumen burn at once with plenty of cool or tepid water, do not peel it off, get medical help and send the \
             burns card along. Gloves, long sleeves, boots, face and eye protection.",
            "Stay upwind of melter and pour; limits for bitumen fume are set by local law.",
        ],
    ),
    (
        "Weather and deck",
        &[
            "Lay on a deck that is dry, clean and free of frost, dust and laitance. Prime only what will be covered in the same \
             shift. Stop for rain, dew and wind that carries the melt; limits are on the maker's data sheet.",
            "Bond test each morning on the first bay before going on (common practice, no published source).",
        ],
    ),
    (
        "While laying",
        &[
            "Laps may grow, never shrink. No reinforcement in a bowl, over a movement joint or on a clear strip.",
            "Leave no reinforcement bare at the end of a shift. Day joints end on a bay edge as drawn, never in the clear zone \
             of an outlet.",
            "Test the whole area for leaks before it is covered.",
        ],
    ),
];
