/** Tells how far a piece of work is, from 0 to 1, and lets messages in; throws if the work was given up meanwhile. */
export type Step = (share: number) => Promise<void>;
