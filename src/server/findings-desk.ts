import type { Findings } from "../app/api/findings.js";
import type { JobBook } from "../app/jobs/job-book.js";
import { BoardwakeError } from "../core/base/errors.js";
import type { Engine } from "./engine/engine.js";
import { reasonOf } from "./engine/messages.js";
import type { Hub } from "./hub.js";

interface Pending {
  readonly revision: number;
  readonly key: string;
  readonly findings: Promise<Findings>;
}

const rememberedFindings = 12;

/**
 * Keeps the findings of each job in step with its log. Of work that waits for a job only the newest is done; what comes
 * out is remembered, told to everybody who listens, and its leading suspect kept for the list of jobs.
 */
export class FindingsDesk {
  private readonly book: JobBook;
  private readonly engine: Engine;
  private readonly hub: Hub;
  private readonly pending = new Map<string, Pending>();
  private readonly done = new Map<string, Findings>();

  constructor(book: JobBook, engine: Engine, hub: Hub) {
    this.book = book;
    this.engine = engine;
    this.hub = hub;
  }

  /** Findings of a job's log as it stands. Rejects with `job-unknown`, `work-cancelled`, `internal`. */
  findings(job: string): Promise<Findings> {
    const { state } = this.book.read(job);
    const { revision } = state;
    const known = this.done.get(job);
    if (known?.revision === revision) return Promise.resolve(known);
    const before = this.pending.get(job);
    if (before?.revision === revision) return before.findings;
    if (before !== undefined) this.engine.drop(before.key);
    const key = `findings:${job}:${revision}`;
    const order = this.book.order(job);
    const findings = this.engine
      .run("findings", order, {
        key,
        onProgress: (share, doing) => this.hub.send({ type: "progress", id: job, share, doing }),
      })
      .then((made) => this.tell(made));
    const pending = { revision, key, findings };
    this.pending.set(job, pending);
    const forget = (): void => {
      if (this.pending.get(job) === pending) this.pending.delete(job);
    };
    findings.then(forget, (error: unknown) => {
      forget();
      this.tellStopped(job, revision, error);
    });
    return findings;
  }

  /** The findings if they come within a time, else null; they are then told when they are there. */
  async soon(job: string, milliseconds: number): Promise<Findings | null> {
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<null>((resolve) => {
      timer = setTimeout(() => resolve(null), milliseconds);
    });
    try {
      // What goes wrong is told on the stream; the entry is in the log all the same.
      return await Promise.race([this.findings(job).catch(() => null), late]);
    } finally {
      clearTimeout(timer);
    }
  }

  /** Stops what is being worked out for a job; false if nothing was. */
  cancel(job: string): boolean {
    const pending = this.pending.get(job);
    if (pending !== undefined) this.engine.cancel(pending.key);
    return pending !== undefined;
  }

  private tell(made: Findings): Findings {
    this.done.delete(made.job);
    this.done.set(made.job, made);
    const oldest = this.done.keys().next();
    if (this.done.size > rememberedFindings && oldest.done !== true) this.done.delete(oldest.value);
    this.keepLead(made);
    this.hub.send({ type: "findings", id: made.job, revision: made.revision, findings: made });
    return made;
  }

  private keepLead({ job, revision, result }: Findings): void {
    const [lead] = result.suspects;
    const kept =
      lead === undefined ? null : { part: lead.part, title: lead.title, probability: lead.probability };
    try {
      this.book.keepLead(job, revision, kept);
    } catch (error) {
      // Only the list of jobs shows it, and it can be worked out again: a full disk must not hide the findings.
      if (!(error instanceof BoardwakeError)) throw error;
    }
  }

  private tellStopped(id: string, revision: number, error: unknown): void {
    const known =
      error instanceof BoardwakeError ? error : new BoardwakeError("internal", { reason: reasonOf(error) });
    // Work that a newer entry made needless is no news.
    if (known.code === "work-cancelled" && this.pending.has(id)) return;
    this.hub.send({ type: "stopped", id, revision, code: known.code, message: known.message });
  }
}
