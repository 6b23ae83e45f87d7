import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import { type GrownBoard, growBoard } from "../../core/board/grow/grow.js";
import type { PartType } from "../../core/board/part-type.js";
import { type BoardMap, boardMapOf } from "../../core/draw/board-map.js";
import { createSpace, type FaultSpace } from "../../core/find/reason/space.js";
import { buildCircuit, type Circuit } from "../../core/find/settle/build.js";
import { healthyRates } from "../../core/find/settle/rates.js";
import { buildEffectTable } from "../../core/find/table/effect-table.js";
import type { JobState } from "../../core/job/job-state.js";
import type { JobStore } from "../../store/jobs/job-store.js";
import type { Store } from "../../store/store.js";
import { type BoardSource, sourceOf, typesWith } from "../boards/board-source.js";
import { readOwnBoard } from "../boards/own-board.js";
import { readOwnTypeTexts } from "../boards/own-type-texts.js";
import { type ListedSymptom, symptomsOfModel } from "../list-symptoms.js";
import { type LoadedBoard, loadBoard } from "../load-board.js";

/** A board with what is needed to read entries and to draw it, but not to reason. */
export interface BenchBoard extends LoadedBoard {
  /** Version of a board of one's own; undefined for an installed one. */
  readonly version: number | undefined;
  /** What an engine makes it from; undefined for an installed board that nothing was changed of. */
  readonly source: BoardSource | undefined;
  /** What was measured at the bench and worked into its nets; undefined if nothing was. */
  readonly grown: GrownBoard | undefined;
  readonly symptoms: readonly ListedSymptom[];
  readonly map: BoardMap;
  readonly circuit: Circuit;
  /** The healthy board alone: entries can be bound to it at once, without the faults that take seconds to work out. */
  readonly healthyOnly: FaultSpace;
}

/** Boards kept ready; each holds its circuit. */
const rememberedBoards = 16;

/**
 * Boards that come with the program and boards of one's own, each made ready when it is first asked for. Never reads a
 * path from a name.
 */
export class BenchBoards {
  private readonly store: Store;
  private readonly jobs: JobStore | undefined;
  private readonly ready = new Map<string, BenchBoard>();
  private types: { readonly revision: number; readonly list: readonly PartType[] } = {
    revision: 0,
    list: [],
  };

  /** Without `jobs` there are the installed boards only. */
  constructor(store: Store, jobs?: JobStore) {
    this.store = store;
    this.jobs = jobs;
  }

  /** Ids of all boards, sorted: those that come with the program first. */
  ids(): readonly string[] {
    return [...this.installedIds(), ...(this.jobs?.shelf.boards() ?? []).map(({ id }) => id)];
  }

  has(id: string): boolean {
    return this.ids().includes(id);
  }

  /** True for a board of one's own. */
  isOwn(id: string): boolean {
    return !this.installedIds().includes(id);
  }

  /** True if a board of one's own has a version of that number. */
  hasVersion(id: string, version: number): boolean {
    return (this.jobs?.shelf.versions(id) ?? []).some(({ number }) => number === version);
  }

  /** A board, of one's own the newest version if none is named. Throws `board-unknown`, with the nearest name, and `data-broken`. */
  get(id: string, version?: number): BenchBoard {
    const own = this.ownTypes();
    if (!this.isOwn(id)) {
      const key = `${id}#${own.revision}`;
      return this.kept(key, () => {
        const loaded = loadInstalledBoard(this.store, id);
        const used = loaded.board.parts.some(({ type }) => own.list.some((one) => one.type === type));
        if (!used) return this.make(loaded, {});
        const types = typesWith(loaded.types, own.list);
        const source = sourceOf(key, loaded.board, own.list);
        return this.make({ board: loaded.board, types }, { source });
      });
    }
    const number = version ?? this.jobs?.shelf.versions(id).at(-1)?.number;
    if (number === undefined) throw this.unknown(id);
    const key = `${id}@${number}#${own.revision}`;
    return this.kept(key, () => {
      const stored = this.jobs?.shelf.version(id, number);
      if (stored === undefined) throw this.unknown(id);
      const { board, localTypes } = readOwnBoard(stored, this.jobs?.file ?? "");
      // What the user says of a type goes before what an import made of it.
      const mine = new Set(own.list.map(({ type }) => type));
      const types = [...localTypes.filter(({ type }) => !mine.has(type)), ...own.list];
      const loaded = { board, types: typesWith(this.store.data.partLibrary(), types) };
      return this.make(loaded, { version: number, source: sourceOf(key, board, types) });
    });
  }

  /** The board of a job, with what was measured of its wiring worked in. Throws what `get` throws. */
  ofJob({
    board,
    boardVersion,
    connections,
  }: Pick<JobState, "board" | "boardVersion" | "connections">): BenchBoard {
    const base = this.get(board, boardVersion);
    if (connections.length === 0) return base;
    const facts = connections
      .map(({ entry, from, to, shows }) => `${entry}:${from} ${shows} ${to}`)
      .join(";");
    const key = `${base.source?.key ?? `${board}#0`}+${facts}`;
    return this.kept(key, () => {
      const grown = growBoard(base.board, connections);
      const types = [...new Set(grown.board.parts.map(({ type }) => type))].flatMap((name) => {
        const type = base.types.get(name);
        return type === undefined || type === this.store.data.partLibrary().get(name) ? [] : [type];
      });
      const source = sourceOf(key, grown.board, types);
      return this.make(
        { board: grown.board, types: base.types },
        { ...(base.version === undefined ? {} : { version: base.version }), source, grown },
      );
    });
  }

  /** Title of a board; its id if it is not there any more. */
  titleOf(id: string): string {
    return this.has(id) ? this.get(id).board.title : id;
  }

  /** Part types of one's own as they stand, and a number that grows with every change of them. */
  ownTypes(): { readonly revision: number; readonly list: readonly PartType[] } {
    if (this.jobs === undefined) return this.types;
    const revision = this.jobs.shelf.typesRevision();
    if (revision !== this.types.revision)
      this.types = { revision, list: readOwnTypeTexts(this.jobs.shelf.types(), this.jobs.file) };
    return this.types;
  }

  /** The error of a board that is not there. */
  unknown(id: string): BoardwakeError {
    return unknownBoard(id, this.ids());
  }

  private installedIds(): readonly string[] {
    return this.store.data.boardIds();
  }

  private kept(key: string, make: () => BenchBoard): BenchBoard {
    const known = this.ready.get(key) ?? make();
    this.ready.delete(key);
    this.ready.set(key, known);
    const oldest = this.ready.keys().next();
    if (this.ready.size > rememberedBoards && oldest.done !== true) this.ready.delete(oldest.value);
    return known;
  }

  private make(
    loaded: LoadedBoard,
    more: { readonly version?: number; readonly source?: BoardSource; readonly grown?: GrownBoard },
  ): BenchBoard {
    const model = this.store.data.findModel();
    const lazy = once(() => {
      const circuit = buildCircuit(loaded.board, loaded.types);
      const effects = [{ key: "", changes: [], parts: [] }];
      const healthyOnly = createSpace({
        circuit,
        model,
        faults: [],
        effects,
        table: buildEffectTable(circuit, effects, model),
        expectedFaults: 1,
        rates: healthyRates(circuit),
      });
      return { circuit, healthyOnly };
    });
    return {
      ...loaded,
      version: more.version,
      source: more.source,
      grown: more.grown,
      symptoms: symptomsOfModel(model, loaded.board),
      map: boardMapOf(loaded.board, (type) => loaded.types.get(type)),
      get circuit() {
        return lazy().circuit;
      },
      get healthyOnly() {
        return lazy().healthyOnly;
      },
    };
  }
}

/** An installed board by its id, and never a file. Throws `board-unknown`, `data-broken`. */
export function loadInstalledBoard(store: Store, id: string): LoadedBoard {
  const ids = store.data.boardIds();
  if (!ids.includes(id)) throw unknownBoard(id, ids);
  const { value, problems } = loadBoard(store, id);
  if (value !== undefined) return value;
  const problem = problems[0]?.message ?? "it holds no board";
  throw new BoardwakeError("data-broken", { file: `data/boards/${id}.json`, problem });
}

function unknownBoard(id: string, ids: readonly string[]): BoardwakeError {
  const near = nearestName(id, ids);
  const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
  return new BoardwakeError("board-unknown", {
    board: id,
    hint: `${meant} Boards here: ${ids.join(", ")}.`,
  });
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}
