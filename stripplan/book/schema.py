"""The tables of a stock book, and how a book of an earlier edition becomes one of today: numbered steps, each of which
stays as it is for good.
"""

from __future__ import annotations

APPLICATION = 0x53545052
"""What marks a file as a stock book: "STPR" in its header (SQLite's `application_id`)."""

Step = tuple[str, ...]
"""Statements of one migration, run in one transaction."""

MIGRATIONS: tuple[Step, ...] = (
    (
        "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
        # the least offcut worth keeping; material '' and thickness 0: of any
        """CREATE TABLE keep (
            material TEXT NOT NULL, thickness REAL NOT NULL, length REAL NOT NULL CHECK (length > 0),
            width REAL NOT NULL CHECK (width > 0), PRIMARY KEY (material, thickness))""",
        """CREATE TABLE piece (
            number INTEGER PRIMARY KEY AUTOINCREMENT,
            kind TEXT NOT NULL CHECK (kind IN ('plate', 'offcut')),
            length REAL NOT NULL CHECK (length > 0),
            width REAL NOT NULL CHECK (width > 0),
            thickness REAL NOT NULL CHECK (thickness > 0),
            material TEXT NOT NULL CHECK (material <> ''),
            batch TEXT NOT NULL,
            cost REAL CHECK (cost >= 0),
            place TEXT NOT NULL,
            edges TEXT NOT NULL,
            rolling TEXT NOT NULL CHECK (rolling IN ('length', 'width', 'none')),
            measured INTEGER NOT NULL CHECK (measured IN (0, 1)),
            out_of_square REAL NOT NULL CHECK (out_of_square >= 0),
            note TEXT NOT NULL,
            code TEXT NOT NULL,
            added TEXT NOT NULL,
            state TEXT NOT NULL CHECK (state IN ('there', 'used', 'written_off')),
            gone TEXT NOT NULL,
            from_plan TEXT NOT NULL)""",
        "CREATE UNIQUE INDEX piece_code ON piece (code) WHERE code <> ''",
        "CREATE INDEX piece_there ON piece (material, thickness) WHERE state = 'there'",
        # one row a piece: no piece can be promised twice, whoever writes
        """CREATE TABLE reservation (
            piece INTEGER PRIMARY KEY REFERENCES piece (number),
            job TEXT NOT NULL CHECK (job <> ''),
            plan TEXT REFERENCES plan (id),
            made TEXT NOT NULL)""",
        "CREATE INDEX reservation_plan ON reservation (plan)",
        """CREATE TABLE plan (
            id TEXT PRIMARY KEY,
            job TEXT NOT NULL,
            state TEXT NOT NULL CHECK (state IN ('planned', 'done')),
            made TEXT NOT NULL,
            done TEXT NOT NULL,
            cuts INTEGER NOT NULL,
            minutes REAL NOT NULL,
            text BLOB NOT NULL)""",
        "CREATE INDEX plan_job ON plan (job)",
        # which piece of the rack a plate of a plan is; a plate that is none is bought
        """CREATE TABLE plan_plate (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            plate TEXT NOT NULL,
            piece INTEGER NOT NULL REFERENCES piece (number),
            PRIMARY KEY (plan, plate), UNIQUE (plan, piece))""",
        "CREATE INDEX plan_plate_piece ON plan_plate (piece)",
        """CREATE TABLE cut (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            number INTEGER NOT NULL CHECK (number > 0),
            made TEXT NOT NULL,
            minutes REAL CHECK (minutes >= 0),
            planned REAL NOT NULL,
            spoilt TEXT CHECK (spoilt IN ('left', 'right', 'both')),
            note TEXT NOT NULL,
            PRIMARY KEY (plan, number))""",
        """CREATE TABLE measured (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            cut INTEGER NOT NULL,
            piece TEXT NOT NULL,
            size REAL NOT NULL CHECK (size > 0),
            expected REAL NOT NULL,
            on_fence INTEGER NOT NULL CHECK (on_fence IN (0, 1)),
            made TEXT NOT NULL,
            PRIMARY KEY (plan, cut))""",
        # what became of the plates of a plan that is done; areas in mm2
        """CREATE TABLE made (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            piece TEXT NOT NULL,
            plate TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('part', 'offcut', 'scrap')),
            part TEXT,
            length REAL NOT NULL,
            width REAL NOT NULL,
            area REAL NOT NULL,
            number INTEGER REFERENCES piece (number),
            PRIMARY KEY (plan, piece))""",
        """CREATE TABLE plate_cut (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            plate TEXT NOT NULL,
            area REAL NOT NULL,
            PRIMARY KEY (plan, plate))""",
        """CREATE TABLE entry (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            made TEXT NOT NULL,
            what TEXT NOT NULL,
            plan TEXT NOT NULL,
            pieces TEXT NOT NULL,
            note TEXT NOT NULL)""",
    ),
    # corners of a piece with slanted edges, "x,y x,y ..." in mm
    ("ALTER TABLE piece ADD COLUMN outline TEXT NOT NULL DEFAULT ''",),
    (
        # the jobs of a plan that is of several; of others it is the plan's own
        """CREATE TABLE job_of_plan (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            job TEXT NOT NULL,
            PRIMARY KEY (plan, job))""",
        # whom a piece is promised to: the jobs that have parts on that plate
        "ALTER TABLE plan_plate ADD COLUMN job TEXT NOT NULL DEFAULT ''",
    ),
    (
        # what is still good of a piece that a cut has spoilt, in mm
        """CREATE TABLE salvage (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            cut INTEGER NOT NULL,
            side TEXT NOT NULL CHECK (side IN ('left', 'right')),
            length REAL NOT NULL CHECK (length > 0),
            width REAL NOT NULL CHECK (width > 0),
            PRIMARY KEY (plan, cut, side))""",
    ),
    (
        # on which plate a cut is, so that a piece is known that is being cut; and whether the page ticked it
        "ALTER TABLE cut ADD COLUMN plate TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE cut ADD COLUMN on_page INTEGER NOT NULL DEFAULT 0",
    ),
    (
        # up to which of its steps a store of the page has told what it ticked, so that none is taken over twice
        """CREATE TABLE told (
            plan TEXT NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
            store TEXT NOT NULL,
            step INTEGER NOT NULL,
            PRIMARY KEY (plan, store))""",
    ),
)
"""From nothing to version 1, from 1 to 2 ...; the version of a book is SQLite's `user_version`."""
