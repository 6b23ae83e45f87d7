import { openApiDocument } from "../src/server/http/openapi.js";
import type { GeneratedFile } from "./generated-files.js";

/** The description of the API as docs/api/openapi.json should hold it; its version is the API's, not the program's. */
export function renderOpenApi(): GeneratedFile {
  return { path: "docs/api/openapi.json", text: `${JSON.stringify(openApiDocument("1"), null, 1)}\n` };
}
