import { createStore, type Store } from "./store.js";

/** What a screen reader is told next; the number tells repeated sentences apart. */
export const announcement: Store<{ readonly number: number; readonly text: string }> = createStore({
  number: 0,
  text: "",
});

/** Says a sentence to whoever listens by screen reader. */
export function announce(text: string): void {
  announcement.update(({ number }) => ({ number: number + 1, text }));
}

/** A short message at the edge of the page. */
export interface Notice {
  readonly text: string;
}

/** The notice shown now. */
export const notice: Store<Notice | null> = createStore<Notice | null>(null);

let timer: ReturnType<typeof setTimeout> | undefined;
const shownMilliseconds = 8000;

/** Shows a notice for a while, and says it. */
export function notify(next: Notice): void {
  notice.set(next);
  announce(next.text);
  clearTimeout(timer);
  timer = setTimeout(() => notice.set(null), shownMilliseconds);
}
