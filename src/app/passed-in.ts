/** What the command line and the server hand to the functions of this folder. */
export type { Store } from "../store/store.js";
export type { TextFile } from "../store/text-file.js";
