/** One step from a format of the job database to the next. */
export interface Migration {
  /** Format after the step; formats count from 1 without gaps. */
  readonly format: number;
  readonly statements: string;
}

/**
 * All formats so far, oldest first. A step that was published is never edited: a change is a new step.
 *
 * Format 1: `entry` is the log and the only truth; triggers keep it append-only. `summary` holds what is derived from
 * a log for the list of jobs and may be made again at any time; `lead` what was last computed of it.
 *
 * Format 2: boards of one's own, whose versions are only added to so that a job's log always means the same board; part
 * types of one's own, the same way; pictures of the real boards, of which there is one for each side of each job.
 */
export const migrations: readonly Migration[] = [
  {
    format: 1,
    statements: `
      CREATE TABLE job (
        id TEXT PRIMARY KEY,
        opened_at TEXT NOT NULL,
        demo INTEGER NOT NULL CHECK (demo IN (0, 1))
      ) STRICT;

      CREATE TABLE entry (
        job TEXT NOT NULL REFERENCES job (id),
        number INTEGER NOT NULL CHECK (number >= 1),
        id TEXT NOT NULL,
        at TEXT NOT NULL,
        body TEXT NOT NULL,
        PRIMARY KEY (job, number),
        UNIQUE (job, id)
      ) STRICT, WITHOUT ROWID;

      CREATE TRIGGER entry_never_changes BEFORE UPDATE ON entry
      BEGIN SELECT RAISE (ABORT, 'the log is only added to'); END;

      CREATE TRIGGER entry_never_goes BEFORE DELETE ON entry
      BEGIN SELECT RAISE (ABORT, 'the log is only added to'); END;

      CREATE TRIGGER entry_follows BEFORE INSERT ON entry
      WHEN NEW.number <> 1 + coalesce((SELECT max(number) FROM entry WHERE job = NEW.job), 0)
      BEGIN SELECT RAISE (ABORT, 'entries follow each other without a gap'); END;

      CREATE TABLE summary (
        job TEXT PRIMARY KEY REFERENCES job (id),
        revision INTEGER NOT NULL,
        changed_at TEXT NOT NULL,
        body TEXT NOT NULL
      ) STRICT;

      CREATE TABLE lead (
        job TEXT PRIMARY KEY REFERENCES job (id),
        revision INTEGER NOT NULL,
        body TEXT NOT NULL
      ) STRICT;

      CREATE TABLE device (
        id TEXT PRIMARY KEY,
        label TEXT NOT NULL,
        key_hash TEXT NOT NULL UNIQUE,
        paired_at TEXT NOT NULL,
        seen_at TEXT NOT NULL
      ) STRICT;

      CREATE TABLE setting (
        name TEXT PRIMARY KEY,
        value TEXT NOT NULL
      ) STRICT;
    `,
  },
  {
    format: 2,
    statements: `
      CREATE TABLE own_board (
        id TEXT PRIMARY KEY,
        added_at TEXT NOT NULL
      ) STRICT;

      CREATE TABLE board_version (
        board TEXT NOT NULL REFERENCES own_board (id),
        number INTEGER NOT NULL CHECK (number >= 1),
        at TEXT NOT NULL,
        note TEXT NOT NULL,
        body TEXT NOT NULL,
        types TEXT NOT NULL,
        report TEXT NOT NULL,
        PRIMARY KEY (board, number)
      ) STRICT, WITHOUT ROWID;

      CREATE TRIGGER board_version_never_changes BEFORE UPDATE ON board_version
      BEGIN SELECT RAISE (ABORT, 'versions of a board are only added to'); END;

      CREATE TABLE own_type (
        number INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        at TEXT NOT NULL,
        body TEXT NOT NULL
      ) STRICT;

      CREATE TRIGGER own_type_never_changes BEFORE UPDATE ON own_type
      BEGIN SELECT RAISE (ABORT, 'part types are only added to'); END;

      CREATE TRIGGER own_type_never_goes BEFORE DELETE ON own_type
      BEGIN SELECT RAISE (ABORT, 'part types are only added to'); END;

      CREATE TABLE photo (
        job TEXT NOT NULL REFERENCES job (id),
        side TEXT NOT NULL CHECK (side IN ('component', 'solder')),
        at TEXT NOT NULL,
        media_type TEXT NOT NULL,
        width INTEGER NOT NULL,
        height INTEGER NOT NULL,
        bytes BLOB NOT NULL,
        marks TEXT NOT NULL,
        PRIMARY KEY (job, side)
      ) STRICT;
    `,
  },
];
