import { readFileSync } from "node:fs";

/** Version of this installation, from its package file; two levels above both `src/cli` and `dist/cli`. */
export function readVersion(): string {
  const manifest: unknown = JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8"));
  const version =
    typeof manifest === "object" && manifest !== null ? Reflect.get(manifest, "version") : undefined;
  return typeof version === "string" ? version : "unknown";
}
