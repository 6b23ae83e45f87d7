/** What the command line and the server hand to the functions of this folder. */
export type { JobStore, StoredDevice } from "../store/jobs/job-store.js";
export type { Store } from "../store/store.js";
export type { TextFile } from "../store/text-file.js";
