import { BoardwakeError } from "../../core/base/errors.js";
import { boardMapOf } from "../../core/draw/board-map.js";
import { findFaults, usualPairLimits } from "../../core/find/find.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { FindResult } from "../../core/find/result/result.js";
import { type SolvedCase, solveCase } from "../../core/find/solve.js";
import { Cancelled } from "../../core/find/table/effect-table.js";
import type { Store } from "../../store/store.js";
import type { Findings } from "../api/findings.js";
import type {
  MemoryAnswer,
  MemoryMeans,
  MemoryReads,
  PictureAnswer,
  PictureAsk,
  Seen,
  SeenAnswer,
} from "../api/memory.js";
import type { PartPage } from "../api/part-page.js";
import type {
  PracticeAnswer,
  PracticeHint,
  PracticePaths,
  PracticeStep,
  PracticeView,
} from "../api/practice.js";
import type {
  BeaconSeen,
  BeaconVerdict,
  SelfTestBuild,
  SelfTestImage,
  SelfTestOptions,
  SelfTestSheet,
} from "../api/self-test.js";
import type { WhyPage } from "../api/why-page.js";
import { type BoardSource, loadSource } from "../boards/board-source.js";
import { makeOwnBoard, type OwnBoard, type OwnBoardRequest } from "../boards/own-board.js";
import { prepareFind } from "../find-faults.js";
import { loadInstalledBoard } from "../jobs/bench-boards.js";
import { Refusal } from "../jobs/refusal.js";
import type { Misread } from "../line/context.js";
import { symptomsOfModel } from "../list-symptoms.js";
import type { LoadedBoard } from "../load-board.js";
import { BenchGame, type GameOrder } from "./bench-game.js";
import { type FindingsOrder, findingsView, leadingOf, workOut } from "./findings-view.js";
import { pathsOf } from "./game-paths.js";
import { memoryAnswer, memoryMeans, pictureAnswer, seenAnswer } from "./memory-views.js";
import { type PartOrder, partView } from "./part-view.js";
import { PlaceFinder } from "./places.js";
import { beaconVerdict, selfTestImage, selfTestSheet } from "./self-test-views.js";
import { whyView } from "./why-view.js";

/** The board that work is done on: an installed one by its id, or what `source` holds. */
interface OnBoard {
  readonly board: string;
  readonly source?: BoardSource | undefined;
}

/** What can be asked of an engine room, each with what it answers. Plain data, so that it can cross to another thread. */
export interface EngineWork {
  readonly warm: { readonly order: OnBoard; readonly result: { readonly ready: true } };
  readonly findings: { readonly order: FindingsOrder & OnBoard; readonly result: Findings };
  readonly part: { readonly order: PartOrder & OnBoard; readonly result: PartPage };
  readonly why: { readonly order: PartOrder & OnBoard; readonly result: WhyPage };
  /** Makes a board of netlists and layouts, which takes a second for a large one. */
  readonly import: { readonly order: OwnBoardRequest; readonly result: OwnBoard };
  readonly "memory-means": { readonly order: OnBoard; readonly result: MemoryMeans };
  readonly "memory-explain": {
    readonly order: OnBoard & { readonly given: MemoryReads };
    readonly result: MemoryAnswer;
  };
  readonly "memory-picture": {
    readonly order: OnBoard & { readonly given: PictureAsk };
    readonly result: PictureAnswer;
  };
  readonly "memory-seen": { readonly order: OnBoard & { readonly given: Seen }; readonly result: SeenAnswer };
  readonly "self-test-sheet": {
    readonly order: OnBoard & { readonly given: SelfTestOptions };
    readonly result: SelfTestSheet;
  };
  /** Builds the image and runs it on a bare processor core, which takes some seconds. */
  readonly "self-test-build": {
    readonly order: OnBoard & { readonly given: SelfTestBuild };
    readonly result: SelfTestImage;
  };
  readonly "self-test-read": {
    readonly order: OnBoard & { readonly given: BeaconSeen };
    readonly result: BeaconVerdict;
  };
  readonly game: { readonly order: GameOrder; readonly result: PracticeView };
  readonly ask: {
    readonly order: GameOrder & { readonly ask: PracticeStep };
    readonly result: PracticeAnswer;
  };
  readonly hint: { readonly order: GameOrder; readonly result: PracticeHint };
  readonly paths: { readonly order: GameOrder; readonly result: PracticePaths };
}
export type EngineTask = keyof EngineWork;

/** How work is watched: told how far it has come, and asked whether it should stop. */
export interface EngineWatch {
  progress(share: number, doing: string): void;
  isCancelled(): boolean;
}

/** A board made ready with what is found on it. */
interface ReadyBoard {
  readonly prepared: PreparedBoard;
  readonly finder: PlaceFinder;
}

/** What was last worked out for a job. */
interface LastWork {
  readonly revision: number;
  readonly board: string;
  readonly result: FindResult;
  readonly leading: Findings["previous"];
  readonly previous: Findings["previous"];
  solved?: SolvedCase;
}

const rememberedJobs = 12;
const rememberedGames = 12;
/** Each holds its table of effects, some megabytes. */
const rememberedBoards = 6;
/** Moves of the tool that its path is expected to take, for the share of progress only. */
const expectedMoves = 15;

/**
 * Where the heavy work is done: boards made ready once and kept, and what was last worked out for each job. One room
 * serves one thread. The same order always gives the same answer; what is kept only makes it quicker.
 */
export class EngineRoom {
  private readonly store: Store;
  private readonly ready = new Map<string, ReadyBoard>();
  private readonly last = new Map<string, LastWork>();
  private readonly games = new Map<string, BenchGame>();

  constructor(store: Store) {
    this.store = store;
  }

  /**
   * Does a piece of work. Throws `work-cancelled`, `board-unknown`, `game-over`, `game-open`, and `Refusal` for a step
   * of a game that asks for nothing.
   */
  perform<T extends EngineTask>(
    task: T,
    order: EngineWork[T]["order"],
    watch: EngineWatch,
  ): EngineWork[T]["result"] {
    try {
      return this.handlers[task](order, watch);
    } catch (error) {
      if (error instanceof Cancelled) throw new BoardwakeError("work-cancelled", {}, error);
      throw error;
    }
  }

  private readonly handlers: {
    readonly [T in EngineTask]: (
      order: EngineWork[T]["order"],
      watch: EngineWatch,
    ) => EngineWork[T]["result"];
  } = {
    import: (order) => makeOwnBoard(this.store, order),
    warm: (order, watch) => {
      this.board(order, watch);
      return { ready: true };
    },
    findings: (order, watch) => this.findings(order, watch),
    part: (order, watch) => {
      const { prepared } = this.board(order, watch);
      return partView(prepared, this.solved(order, watch), order);
    },
    why: (order, watch) => this.why(order, watch),
    "memory-means": (order) => memoryMeans(this.loaded(order)),
    "memory-explain": (order) => memoryAnswer(this.loaded(order), order.given),
    "memory-picture": (order) => pictureAnswer(this.loaded(order), order.given),
    "memory-seen": (order) => seenAnswer(this.loaded(order), order.given),
    "self-test-sheet": (order) => selfTestSheet(this.loaded(order), order.given),
    "self-test-build": (order, watch) =>
      selfTestImage(this.loaded(order), order.given, (cycles) => {
        if (watch.isCancelled()) throw new Cancelled();
        watch.progress(1 - 1 / (1 + cycles / 5e7), "The self-test is being tried on a processor core");
      }),
    "self-test-read": (order) => beaconVerdict(this.loaded(order), order.given),
    game: (order, watch) => this.game(order, watch).view(),
    ask: (order, watch) => this.ask(order, watch),
    hint: (order, watch) => this.hint(order, watch),
    paths: (order, watch) => {
      const game = this.game(order, watch);
      if (game.view().state === "open")
        throw new BoardwakeError("game-open", { reason: "both paths are shown when it is over" });
      const { prepared } = this.board(order, watch);
      return pathsOf(prepared, game, (moves) => {
        if (watch.isCancelled()) throw new Cancelled();
        watch.progress(1 - expectedMoves / (expectedMoves + moves), `The tool has taken ${moves} steps`);
      });
    },
  };

  private loaded({ board: id, source }: OnBoard): LoadedBoard {
    return source === undefined
      ? loadInstalledBoard(this.store, id)
      : loadSource(source, this.store.data.partLibrary());
  }

  private board({ board: id, source }: OnBoard, watch: EngineWatch): ReadyBoard {
    const key = source?.key ?? id;
    const known = this.ready.get(key);
    if (known !== undefined) {
      keep(this.ready, key, known, rememberedBoards);
      return known;
    }
    const loaded = this.loaded({ board: id, source });
    let told = -1;
    const prepared = prepareFind(this.store, loaded, (done, total) => {
      const percent = total === 0 ? 100 : Math.floor((100 * done) / total);
      if (percent > told) watch.progress(percent / 100, `Making ${loaded.board.title} ready`);
      told = Math.max(told, percent);
      return !watch.isCancelled();
    });
    const map = boardMapOf(loaded.board, (type) => loaded.types.get(type));
    const made = { prepared, finder: new PlaceFinder(prepared.circuit, map) };
    keep(this.ready, key, made, rememberedBoards);
    return made;
  }

  private findings(order: EngineWork["findings"]["order"], watch: EngineWatch): Findings {
    const { prepared, finder } = this.board(order, watch);
    if (watch.isCancelled()) throw new Cancelled();
    const result = workOut(prepared, order);
    const { previous } = this.remember(order, result);
    return findingsView(prepared, order, result, previous, finder);
  }

  /** Keeps a result, with the leading suspects of the last one before it. */
  private remember(order: PartOrder | EngineWork["findings"]["order"], result: FindResult): LastWork {
    const before = this.last.get(order.job);
    const previous =
      before === undefined ? [] : before.revision < order.revision ? before.leading : before.previous;
    const made: LastWork = {
      revision: order.revision,
      board: result.board,
      result,
      leading: leadingOf(result),
      previous,
      ...(before?.solved !== undefined && before.revision === order.revision
        ? { solved: before.solved }
        : {}),
    };
    keep(this.last, order.job, made, rememberedJobs);
    return made;
  }

  /** The last work on a job if it is of this revision; else the ranking is worked out, without next steps. */
  private lastWork(order: EngineWork["part"]["order"], watch: EngineWatch): LastWork {
    const known = this.last.get(order.job);
    if (known?.revision === order.revision && known.board === order.board) return known;
    const { prepared } = this.board(order, watch);
    return this.remember(order, findFaults(prepared, order.case, { steps: 0 }));
  }

  private solved(order: EngineWork["part"]["order"], watch: EngineWatch): SolvedCase {
    const { prepared } = this.board(order, watch);
    const last = this.lastWork(order, watch);
    last.solved ??= solveCase(prepared, order.case, usualPairLimits);
    return last.solved;
  }

  private why(order: EngineWork["why"]["order"], watch: EngineWatch): WhyPage {
    const { prepared, finder } = this.board(order, watch);
    const { result } = this.lastWork(order, watch);
    const suspect = result.suspects.find(({ part }) => part === order.ref);
    const symptoms = symptomsOfModel(prepared.data.model, prepared.board);
    return whyView(prepared, this.solved(order, watch), order, suspect, finder, symptoms);
  }

  /** The game of an order, played again from its start if it is not at hand. */
  private game(order: GameOrder, watch: EngineWatch): BenchGame {
    const known = this.games.get(order.id);
    if (known !== undefined && isSameGame(known.order, order)) {
      if (order.gaveUp) known.giveUp();
      return known;
    }
    const { prepared, finder } = this.board(order, watch);
    const game = new BenchGame(prepared, finder, order);
    for (const asked of order.asked) {
      if (watch.isCancelled()) throw new Cancelled();
      game.ask(asked, false);
    }
    keep(this.games, order.id, game, rememberedGames);
    return game;
  }

  private ask(order: EngineWork["ask"]["order"], watch: EngineWatch): PracticeAnswer {
    const { ask, ...played } = order;
    const game = this.game(played, watch);
    if (game.view().state !== "open") throw new BoardwakeError("game-over", {});
    const given = game.ask(ask, true);
    if ("message" in given) throw new Refusal(problemOf(given));
    return { ...given, game: game.view() };
  }

  private hint(order: GameOrder, watch: EngineWatch): PracticeHint {
    const step = this.game(order, watch).proposed();
    if (step === undefined)
      return { instruction: "The plan has nothing left to do.", minutes: 0, place: null };
    const { finder } = this.board(order, watch);
    const [place = null] = finder.ofStep(step);
    return { instruction: step.instruction, minutes: step.minutes, place };
  }
}

function isSameGame(a: GameOrder, b: GameOrder): boolean {
  return a.board === b.board && a.seed === b.seed && a.asked.length === b.asked.length;
}

function problemOf({ message, hint }: Misread): Refusal["problem"] {
  const sentence = `${message.charAt(0).toUpperCase()}${message.slice(1)}${/[.!?]$/.test(message) ? "" : "."}`;
  const problem = {
    code: "not-understood",
    severity: "error",
    message: sentence,
    where: { field: "text" },
  } as const;
  return hint === undefined ? problem : { ...problem, hint };
}

/** Puts something into a map of at most `most` items; the one longest unused goes. */
function keep<T>(map: Map<string, T>, key: string, value: T, most: number): void {
  map.delete(key);
  map.set(key, value);
  const oldest = map.keys().next();
  if (map.size > most && oldest.done !== true) map.delete(oldest.value);
}
