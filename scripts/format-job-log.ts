import { z } from "zod";
import { jobEntrySchema } from "../src/core/job/job-entry.js";
import { renderFields } from "./render-fields.js";

const entryForm = z.strictObject({ entry: jobEntrySchema });

/** The page about the log of a job; `made` says how its tables come about. */
export function jobLogPage(made: string): string {
  return `# Job log

What the bench page keeps of a job, and where. ${made}

## The database

Jobs are kept in one SQLite file, \`jobs.db\`, in the folder that \`--data\` names, else where the system keeps data of
programs: \`~/.local/share/boardwake\` (or below \`XDG_DATA_HOME\`), \`~/Library/Application Support/boardwake\` on macOS,
\`%APPDATA%\\boardwake\` on Windows. Beside it lie \`jobs.db-wal\` and \`jobs.db-shm\` while a program has it open; they belong
to it. To copy the jobs away, stop the programs that use them and copy the folder.

| table | holds |
| --- | --- |
| \`entry\` | the logs, the only truth: job, number, id, moment, and the entry as JSON. Triggers refuse every change and every removal, and a number that does not follow the last |
| \`job\` | id, moment of opening, whether it came with the program |
| \`summary\`, \`lead\` | what was derived from a log at a revision, for the list of jobs; may be made again at any time |
| \`device\` | paired devices: label, a hash of the key, when it was last seen |
| \`setting\` | whether the demonstration jobs were added |

The number in \`PRAGMA user_version\` is the format of the file. An older file is brought up to date when it is opened: each
step is one transaction, and a copy, \`jobs.format-1.backup.db\`, is put beside it first. A file of a newer format is
refused and left as it is.

## Entries

A log is a list of entries, numbered from 1 without gaps. Each has an id, a UUID that whoever enters it makes beforehand:
the same id sent again adds nothing, so what was typed while the connection was lost can be sent again without harm. The
**revision** of a job is the number of its entries.

- **Entries are only added.** Taking one back adds a \`strike\` with its number; striking the strike brings it back.
- **Everything else follows from the log**: title, instruments, whether the job is open, the verdict, the suspects. The
  same log always comes to the same.
- **Every kind of [the log of one machine](log.md#fields) may stand in it**, and besides those the kinds below, which
  concern the job itself. When a log is exported for \`boardwake find\`, these become notes, so that all numbers stay.
- **What does not fit the board is refused** when it is sent, and so is what does not fit the log: a strike of what does
  not stand, a reading in a closed job.
- A log holds up to 5,000 entries.

${renderFields(entryForm, { direction: "input", level: 3 })}`;
}
