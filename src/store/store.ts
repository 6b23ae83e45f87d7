import { fileURLToPath } from "node:url";
import { type InstalledData, openInstalledData } from "./installed-data.js";
import { diskFiles, type UserFiles } from "./user-files.js";

/** What a request may read and write: the installed data and the user's files. */
export interface Store {
  readonly data: InstalledData;
  readonly files: UserFiles;
}

/** The folder `data` of this installation; two levels above both `src/store` and `dist/store`. */
export const installedDataFolder = fileURLToPath(new URL("../../data", import.meta.url));

/** Opens the store on this machine's disk. Nothing is read until it is asked for. */
export function openStore(dataFolder: string = installedDataFolder): Store {
  return { data: openInstalledData(dataFolder), files: diskFiles };
}
