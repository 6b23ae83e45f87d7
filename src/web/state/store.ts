import { useSyncExternalStore } from "react";

/** A value that parts of the page look at and are told of when it changes. */
export interface Store<T> {
  get(): T;
  /** Replaces the value; whoever looks at it is told unless it is the very same one. */
  set(next: T): void;
  update(change: (now: T) => T): void;
  subscribe(listener: () => void): () => void;
}

/** A store that begins with `initial`. */
export function createStore<T>(initial: T): Store<T> {
  let value = initial;
  const listeners = new Set<() => void>();
  const set = (next: T): void => {
    if (Object.is(next, value)) return;
    value = next;
    for (const listener of listeners) listener();
  };
  return {
    get: () => value,
    set,
    update: (change) => set(change(value)),
    subscribe: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

/** The value of a store, kept up to date in a component. */
export function useStore<T>(store: Store<T>): T {
  return useSyncExternalStore(store.subscribe, store.get);
}
