// Worker threads do not inherit the loader of their parent: from the TypeScript sources the engine starts through here.
import { register } from "tsx/esm/api";

register();
await import("../../src/server/main.ts");
