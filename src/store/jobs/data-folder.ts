import { homedir } from "node:os";
import { join } from "node:path";

/** What decides where a person's data lie. */
export interface HomeFacts {
  readonly platform: string;
  readonly home: string;
  readonly env: Readonly<Record<string, string | undefined>>;
}

/** Name of the job database in its folder. */
export const databaseName = "jobs.db";

/**
 * The folder for jobs where none is named: where each system keeps data of programs (XDG Base Directory Specification
 * 0.8 on Linux and the like, `Library/Application Support` on macOS, `%APPDATA%` on Windows).
 */
export function usualDataFolder({ platform, home, env }: HomeFacts): string {
  if (platform === "win32") return join(env["APPDATA"] ?? join(home, "AppData", "Roaming"), "boardwake");
  if (platform === "darwin") return join(home, "Library", "Application Support", "boardwake");
  const shared = env["XDG_DATA_HOME"];
  return join(shared?.startsWith("/") === true ? shared : join(home, ".local", "share"), "boardwake");
}

/** The folder for jobs on this machine where none is named. */
export function usualFolder(): string {
  return usualDataFolder({ platform: process.platform, home: homedir(), env: process.env });
}
