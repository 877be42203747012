/** What each version of the data file adds, in order; the file's `user_version` says how many it has had. */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE rows (
    board   TEXT NOT NULL,
    seq     INTEGER NOT NULL,
    epoch   TEXT NOT NULL,
    at      INTEGER NOT NULL,
    person  TEXT,
    writer  TEXT NOT NULL,
    n       INTEGER NOT NULL,
    stamp   INTEGER NOT NULL,
    edit    TEXT NOT NULL,
    outcome TEXT NOT NULL,
    bytes   BLOB,
    sum     BLOB NOT NULL
  );
  CREATE UNIQUE INDEX rows_by_seq ON rows (board, seq);
  CREATE UNIQUE INDEX rows_by_writer ON rows (board, writer, n);

  -- Finds the rows that set a cell. Made from the rows, and could be made again.
  CREATE TABLE changes (
    board  TEXT NOT NULL,
    tbl    TEXT NOT NULL,
    record TEXT NOT NULL,
    field  TEXT NOT NULL,
    seq    INTEGER NOT NULL,
    place  INTEGER NOT NULL,
    PRIMARY KEY (board, tbl, record, field, seq, place)
  ) WITHOUT ROWID;

  CREATE TABLE snapshots (
    board TEXT NOT NULL,
    epoch TEXT NOT NULL,
    seq   INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    sum   BLOB NOT NULL,
    PRIMARY KEY (board, epoch, seq)
  );

  CREATE TABLE probe (id INTEGER PRIMARY KEY CHECK (id = 1), count INTEGER NOT NULL);
  INSERT INTO probe VALUES (1, 0);

  CREATE TABLE boards (
    id         TEXT PRIMARY KEY,
    title      TEXT NOT NULL,
    created_at INTEGER NOT NULL
  );
  CREATE TABLE epochs (
    board    TEXT NOT NULL REFERENCES boards (id),
    number   INTEGER NOT NULL,
    id       TEXT NOT NULL,
    client   INTEGER NOT NULL,
    from_seq INTEGER NOT NULL,
    PRIMARY KEY (board, number)
  );
  CREATE TABLE people (
    board     TEXT NOT NULL REFERENCES boards (id),
    id        TEXT NOT NULL,
    number    INTEGER NOT NULL,
    name      TEXT NOT NULL,
    role      TEXT NOT NULL,
    joined_at INTEGER NOT NULL,
    left_at   INTEGER,
    PRIMARY KEY (board, id)
  );
  CREATE TABLE invites (
    hash       BLOB PRIMARY KEY,
    board      TEXT NOT NULL REFERENCES boards (id),
    role       TEXT NOT NULL,
    person     TEXT,
    expires_at INTEGER NOT NULL,
    once       INTEGER NOT NULL
  );
  CREATE INDEX invites_by_role ON invites (board, role);
  CREATE TABLE sessions (
    id         TEXT PRIMARY KEY,
    hash       BLOB NOT NULL UNIQUE,
    board      TEXT NOT NULL,
    person     TEXT NOT NULL,
    expires_at INTEGER NOT NULL,
    ended_at   INTEGER,
    FOREIGN KEY (board, person) REFERENCES people (board, id)
  );
  CREATE INDEX sessions_by_person ON sessions (board, person);
  CREATE TABLE writers (
    board   TEXT NOT NULL,
    id      TEXT NOT NULL,
    person  TEXT NOT NULL,
    session TEXT NOT NULL REFERENCES sessions (id),
    tab     TEXT NOT NULL,
    PRIMARY KEY (board, id),
    UNIQUE (session, tab)
  );
  `,
  `
  -- Long snapshots, so that none is written or read in one go. Their row in snapshots has no bytes and the sum of all.
  CREATE TABLE snapshot_parts (
    board TEXT NOT NULL,
    epoch TEXT NOT NULL,
    seq   INTEGER NOT NULL,
    part  INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (board, epoch, seq, part)
  );
  `,
];
