import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import { type BoardMap, boardMapOf } from "../../core/draw/board-map.js";
import { createSpace, type FaultSpace } from "../../core/find/reason/space.js";
import { buildCircuit, type Circuit } from "../../core/find/settle/build.js";
import { healthyRates } from "../../core/find/settle/rates.js";
import { buildEffectTable } from "../../core/find/table/effect-table.js";
import type { Store } from "../../store/store.js";
import { type ListedSymptom, symptomsOfModel } from "../list-symptoms.js";
import { type LoadedBoard, loadBoard } from "../load-board.js";

/** A board with what is needed to read entries and to draw it, but not to reason. */
export interface BenchBoard extends LoadedBoard {
  readonly symptoms: readonly ListedSymptom[];
  readonly map: BoardMap;
  readonly circuit: Circuit;
  /** The healthy board alone: entries can be bound to it at once, without the faults that take seconds to work out. */
  readonly healthyOnly: FaultSpace;
}

/** Boards that come with the program, each made ready when it is first asked for. Never reads a path from a name. */
export class BenchBoards {
  private readonly store: Store;
  private readonly ready = new Map<string, BenchBoard>();

  constructor(store: Store) {
    this.store = store;
  }

  /** Ids of all boards, sorted. */
  ids(): readonly string[] {
    return this.store.data.boardIds();
  }

  has(id: string): boolean {
    return this.ids().includes(id);
  }

  /** Throws `board-unknown`, with the nearest name, and `data-broken`. */
  get(id: string): BenchBoard {
    const known = this.ready.get(id);
    if (known !== undefined) return known;
    const made = this.make(id);
    this.ready.set(id, made);
    return made;
  }

  /** Title of a board; its id if it is not installed any more. */
  titleOf(id: string): string {
    return this.has(id) ? this.get(id).board.title : id;
  }

  private make(id: string): BenchBoard {
    const loaded = loadInstalledBoard(this.store, id);
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
  if (!ids.includes(id)) {
    const near = nearestName(id, ids);
    const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
    throw new BoardwakeError("board-unknown", {
      board: id,
      hint: `${meant} Boards here: ${ids.join(", ")}.`,
    });
  }
  const { value, problems } = loadBoard(store, id);
  if (value !== undefined) return value;
  const problem = problems[0]?.message ?? "it holds no board";
  throw new BoardwakeError("data-broken", { file: `data/boards/${id}.json`, problem });
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}
