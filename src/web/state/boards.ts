import type { BoardDetail } from "../../app/api/boards.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { RequestError } from "../net/request.js";
import { createStore, type Store } from "./store.js";

/** A board's detail, or why it could not be fetched. */
export interface BoardState {
  readonly board: BoardDetail | null;
  readonly problem: RequestError["body"] | null;
}

const boards = new Map<string, Store<BoardState>>();

/**
 * A board, by its id or by its address below the API as a job's `drawing` has it; fetched the first time it is asked
 * for, and again after a failure.
 */
export function boardStore(id: string): Store<BoardState> {
  const known = boards.get(id);
  if (known !== undefined && known.get().problem === null) return known;
  const store = known ?? createStore<BoardState>({ board: null, problem: null });
  boards.set(id, store);
  if (id !== "") void fetchBoard(id, store);
  return store;
}

// A board of one's own may have a new version; those that a job names by their version stay as they are.
onStreamEvent((event) => {
  if (event.type !== "boards") return;
  for (const [id, store] of boards) if (id !== "" && !/[?&]/.test(id)) void fetchBoard(id, store);
});

async function fetchBoard(id: string, store: Store<BoardState>): Promise<void> {
  try {
    store.set({
      board: await api.boardAt(id.startsWith("/") ? id : `/boards/${encodeURIComponent(id)}`),
      problem: null,
    });
  } catch (cause) {
    if (!(cause instanceof RequestError)) throw cause;
    store.set({ board: null, problem: cause.body });
  }
}
