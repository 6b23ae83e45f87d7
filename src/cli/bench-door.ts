import type { JobStore } from "../app/passed-in.js";

/** How the page is to be served. */
export interface ServeWish {
  readonly port: number;
  readonly isShared: boolean;
  readonly folder: string | undefined;
  readonly version: string;
  readonly onNewCode: (code: string, pairedLabel: string | undefined) => void;
}

/** The page while it is being served. */
export interface ServedPage {
  readonly address: string;
  /** For other devices; empty if the bench is not shared. */
  readonly addresses: readonly string[];
  readonly database: string;
  /** Undefined if the bench is not shared. */
  code(): string | undefined;
  close(): Promise<void>;
}

/** The way to the jobs and to the server; opened only by the commands that need them. */
export interface BenchDoor {
  /** Opens the job database of a folder, the usual one if undefined. Throws the errors of databases. */
  openJobs(folder: string | undefined): Promise<JobStore>;
  /** Serves the page. Throws the errors of databases, and `port-refused`. */
  serve(wish: ServeWish): Promise<ServedPage>;
  /** Shows an address in the person's browser; false if that cannot be done here. */
  showAddress(address: string): boolean;
  /** Resolves when the person or the system asks the program to stop. */
  untilStopped(): Promise<void>;
  /** This moment as ISO 8601 in UTC. */
  now(): string;
  /** A new UUID in lower case. */
  newId(): string;
}
