import { z } from "zod";
import { createStore, type Store } from "./store.js";

/**
 * A store whose value outlives the page: kept in the browser under `name`, checked when read back, and followed when
 * another tab changes it. Where the browser keeps nothing (private windows, full storage) it works all the same, for
 * as long as the page is open.
 */
export function createKeepsake<T>(name: string, schema: z.ZodType<T>, initial: T): Store<T> {
  const key = `boardwake:${name}`;
  const read = (text: string | null): T => {
    if (text === null) return initial;
    try {
      const parsed = schema.safeParse(JSON.parse(text));
      return parsed.success ? parsed.data : initial;
    } catch {
      return initial;
    }
  };
  const store = createStore(read(stored(key)));
  let written = stored(key);
  store.subscribe(() => {
    written = JSON.stringify(store.get());
    try {
      localStorage.setItem(key, written);
    } catch {
      // Storage full or withheld: nothing else can be done here, and the value still stands on the page.
    }
  });
  addEventListener("storage", (event) => {
    if (event.key !== key || event.newValue === written) return;
    written = event.newValue;
    store.set(read(event.newValue));
  });
  return store;
}

function stored(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

/** Light or dark: as the device says, or as chosen here. */
export const themeChoice = createKeepsake("theme", z.enum(["device", "light", "dark"]), "device");

/** Whether single keys (1 to 9, u, m …) act on the job page. */
export const singleKeys = createKeepsake("single-keys", z.boolean(), true);

/** Whether the map is seen from the solder side. */
export const solderSide = createKeepsake("solder-side", z.boolean(), false);

/** How strongly the map is drawn over a photo, in percent; 100 where there is none. */
export const mapStrength = createKeepsake("map-strength", z.number().min(0).max(100), 55);

/** Applies the chosen theme to the page, now and whenever it changes. */
export function followTheme(): void {
  const apply = (): void => {
    const choice = themeChoice.get();
    if (choice === "device") delete document.documentElement.dataset["theme"];
    else document.documentElement.dataset["theme"] = choice;
  };
  apply();
  themeChoice.subscribe(apply);
}
