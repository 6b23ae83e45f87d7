import { BoardKeeper } from "../app/boards/board-keeper.js";
import { PhotoKeeper } from "../app/boards/photo-keeper.js";
import { TypeKeeper } from "../app/boards/type-keeper.js";
import { BenchBoards } from "../app/jobs/bench-boards.js";
import { JobBook } from "../app/jobs/job-book.js";
import type { JobStore, Store } from "../app/passed-in.js";
import { Pairing } from "./access/pairing.js";
import type { Engine } from "./engine/engine.js";
import { FindingsDesk } from "./findings-desk.js";
import { GameTable } from "./game-table.js";
import { Hub } from "./hub.js";

/** What a bench is put together from. */
export interface BenchParts {
  readonly store: Store;
  readonly jobs: JobStore;
  /** Works out findings, and part and why pages. */
  readonly engine: Engine;
  /** Plays practice games, so that they do not hold up a job; may be the same. */
  readonly practiceEngine: Engine;
  readonly version: string;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  /** True if other devices may join. */
  readonly isShared: boolean;
  /** Addresses at which others find the page; set once the port is known. */
  readonly addresses: () => readonly string[];
}

const watchMilliseconds = 400;
const beatMilliseconds = 15_000;

/** Everything the server works with: jobs and their findings, games, devices, and who listens. */
export class Bench {
  readonly parts: BenchParts;
  readonly boards: BenchBoards;
  readonly keeper: BoardKeeper;
  readonly types: TypeKeeper;
  readonly photos: PhotoKeeper;
  readonly book: JobBook;
  readonly desk: FindingsDesk;
  readonly games: GameTable;
  readonly hub = new Hub();
  readonly pairing: Pairing;
  private readonly timers: NodeJS.Timeout[] = [];
  private readonly told = new Map<string, number>();
  private seenVersion: number;

  constructor(parts: BenchParts) {
    this.parts = parts;
    const now = (): string => new Date(parts.now()).toISOString();
    this.boards = new BenchBoards(parts.store, parts.jobs);
    this.keeper = new BoardKeeper(parts.jobs, this.boards, now);
    this.types = new TypeKeeper(parts.store, parts.jobs, this.boards, now);
    this.book = new JobBook(parts.jobs, this.boards, now);
    this.photos = new PhotoKeeper(parts.jobs, this.book, now);
    this.desk = new FindingsDesk(this.book, parts.engine, this.hub);
    this.games = new GameTable(parts.practiceEngine, this.hub);
    this.pairing = new Pairing(parts.jobs, parts.now);
    for (const { id, revision } of this.book.list()) this.told.set(id, revision);
    this.seenVersion = parts.jobs.outsideVersion();
  }

  /** Begins to look for what other programs write, and to keep the stream alive. */
  start(): void {
    this.timers.push(
      setInterval(() => this.lookOutside(), watchMilliseconds),
      setInterval(() => this.hub.beat(), beatMilliseconds),
    );
    for (const timer of this.timers) timer.unref();
  }

  /** Tells everybody who listens what is new in a job's log. */
  tellJob(id: string): void {
    const { state } = this.book.read(id);
    const from = (this.told.get(id) ?? 0) + 1;
    this.told.set(id, state.revision);
    this.hub.send({
      type: "job",
      id,
      revision: state.revision,
      summary: this.book.summary(id),
      lines: this.book.lines(id, from),
      struck: [...state.struck].sort((a, b) => a - b),
    });
  }

  /** Ends all work. The database is left to whoever opened it. */
  async close(): Promise<void> {
    for (const timer of this.timers) clearInterval(timer);
    this.hub.close();
    await Promise.all([this.parts.engine.close(), this.parts.practiceEngine.close()]);
  }

  /** Entries that another program has added are told like those that came in here. */
  lookOutside(): void {
    const version = this.parts.jobs.outsideVersion();
    if (version === this.seenVersion) return;
    this.seenVersion = version;
    for (const { id, revision } of this.book.list()) {
      if (this.told.get(id) === revision) continue;
      this.tellJob(id);
      if (this.hub.size > 0) this.desk.findings(id).catch(() => {});
    }
  }
}
