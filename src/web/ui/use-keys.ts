import { useEffect, useRef } from "react";
import { singleKeys } from "../state/keepsakes.js";

/** What single keys do; a key that is not in it does nothing. */
export type KeyActions = Readonly<Record<string, () => void>>;

/**
 * Single keys that act wherever the focus is, except in a field one types into, on the map, in a dialog, together with
 * Ctrl, Alt or Meta, and when the user has switched single keys off.
 */
export function useKeys(actions: KeyActions): void {
  const latest = useRef(actions);
  latest.current = actions;
  useEffect(() => {
    const press = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.defaultPrevented) return;
      if (!singleKeys.get() || isTakenUp(event.target)) return;
      const action = latest.current[event.key];
      if (action === undefined) return;
      event.preventDefault();
      action();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  }, []);
}

function isTakenUp(target: EventTarget | null): boolean {
  if (!(target instanceof Element)) return false;
  return target.closest("input, textarea, select, dialog, [role=application]") !== null;
}
