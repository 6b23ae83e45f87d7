import { useCallback, useEffect, useState } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { RequestError } from "./request.js";

/** Something fetched for a page. */
export interface Loaded<T> {
  readonly value: T | null;
  readonly problem: ErrorBody["error"] | null;
  readonly reload: () => void;
}

/** Fetches with `fetcher`, again whenever `key` changes; what was there stays until the new value comes. */
export function useLoaded<T>(key: string, fetcher: () => Promise<T>): Loaded<T> {
  const [state, setState] = useState<{ value: T | null; problem: ErrorBody["error"] | null }>({
    value: null,
    problem: null,
  });
  const [round, setRound] = useState(0);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the key says what is fetched; the function is new every time
  useEffect(() => {
    let wanted = true;
    fetcher().then(
      (value) => {
        if (wanted) setState({ value, problem: null });
      },
      (cause: unknown) => {
        if (!wanted) return;
        setState((now) => ({ ...now, problem: problemOf(cause) }));
      },
    );
    return () => {
      wanted = false;
    };
  }, [key, round]);
  const reload = useCallback(() => setRound((n) => n + 1), []);
  return { ...state, reload };
}

/** What to tell the user of something thrown. */
export function problemOf(cause: unknown): ErrorBody["error"] {
  if (cause instanceof RequestError) return cause.body;
  return { code: "internal", message: cause instanceof Error ? cause.message : String(cause) };
}
