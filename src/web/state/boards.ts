import type { BoardDetail } from "../../app/api/boards.js";
import { api } from "../net/api.js";
import { RequestError } from "../net/request.js";
import { createStore, type Store } from "./store.js";

/** A board's detail, or why it could not be fetched. */
export interface BoardState {
  readonly board: BoardDetail | null;
  readonly problem: RequestError["body"] | null;
}

const boards = new Map<string, Store<BoardState>>();

/** A board; fetched the first time it is asked for, and again after a failure. */
export function boardStore(id: string): Store<BoardState> {
  const known = boards.get(id);
  if (known !== undefined && known.get().problem === null) return known;
  const store = known ?? createStore<BoardState>({ board: null, problem: null });
  boards.set(id, store);
  if (id !== "") void fetchBoard(id, store);
  return store;
}

async function fetchBoard(id: string, store: Store<BoardState>): Promise<void> {
  try {
    store.set({ board: await api.board(id), problem: null });
  } catch (cause) {
    if (!(cause instanceof RequestError)) throw cause;
    store.set({ board: null, problem: cause.body });
  }
}
