import { builtinModules } from "node:module";
import { findImports, type ImportUse, packageOf, resolveImport } from "./imports.js";
import type { FileTexts } from "./source-files.js";

/** What a folder of the product may import besides itself. */
interface LayerRule {
  /** Layers whose values and types it may use. */
  readonly values: readonly string[];
  /** Layers of which it may use types only; `core` stands for every folder of the core. */
  readonly types?: readonly string[];
  /** Folder of another layer whose files it may use as values too. */
  readonly files?: string;
  /** Layers that only the start file, `main.ts`, may use, to wire things together. */
  readonly wiring?: readonly string[];
}

const everyCoreFolder = "core";

/** The folder table: one row a folder. A folder that is not in it may not exist. */
const layerTable: Readonly<Record<string, LayerRule>> = {
  "core/base": { values: [] },
  "core/inference": { values: ["core/base"] },
  "core/board": { values: ["core/base"] },
  "core/draw": { values: ["core/base", "core/board"] },
  "core/cpu": { values: ["core/base"] },
  "core/find": { values: ["core/base", "core/inference", "core/board"] },
  "core/memory": { values: ["core/base", "core/board", "core/cpu", "core/rom"] },
  "core/dc": { values: ["core/base"] },
  "core/wiring": { values: ["core/base", "core/board", "core/dc", "core/parts", "core/draw"] },
  "core/parts": { values: ["core/base", "core/board"] },
  "core/signal": { values: ["core/base"] },
  "core/tape": { values: ["core/base", "core/signal"] },
  "core/deck": { values: ["core/base", "core/signal"] },
  "core/rom": { values: ["core/base", "core/board"] },
  "core/job": { values: ["core/base"], types: [everyCoreFolder] },
  store: { values: [everyCoreFolder] },
  app: { values: [everyCoreFolder], types: ["store"] },
  // The error catalogue is recognised by class, so the edges may use core/base itself and not only its types.
  server: { values: ["app", "core/base"], types: [everyCoreFolder], wiring: ["store"] },
  cli: { values: ["app", "core/base"], types: [everyCoreFolder], wiring: ["store", "server"] },
  // The shapes of the interface are plain schemas: the page checks with them what the server sends.
  web: { values: [everyCoreFolder], types: ["app"], files: "src/app/api/" },
};

const corePackages: readonly string[] = ["zod"];
/** Packages that are bundled into the page in the browser, so that whoever installs the program needs none of them. */
const bundledPackages: readonly string[] = [
  "react",
  "react-dom",
  "@fontsource-variable/atkinson-hyperlegible-next",
  "@fontsource-variable/atkinson-hyperlegible-mono",
];
const layersOnNode: readonly string[] = ["store", "server", "cli"];

/** The file through which others use the core; it may import every folder of it, and no file of ours may import it. */
const coreEntry = "src/core/index.ts";

/** Packages that the product may use outside the core. */
export interface LayerOptions {
  readonly dependencies: ReadonlySet<string>;
}

/** One line for each import of `files` that breaks the folder table; empty if all is well. */
export function findLayerViolations(files: FileTexts, options: LayerOptions): string[] {
  const violations: string[] = [];
  for (const [path, text] of files) {
    const layer = layerOf(path);
    if (layer === undefined || (layer !== "core" && layerTable[layer] === undefined)) {
      violations.push(`${path}: its folder is not in the folder table`);
      continue;
    }
    for (const use of findImports(path, text)) {
      const reason = whyForbidden(layer, use, options);
      if (reason !== undefined) violations.push(`${path}:${use.line}: ${reason}`);
    }
  }
  return violations;
}

/** `core/find` for `src/core/find/x.ts`, `cli` for `src/cli/main.ts`, `core` for the core's entry. */
function layerOf(path: string): string | undefined {
  if (path === coreEntry) return "core";
  const [, first, second, third] = path.split("/");
  if (!path.startsWith("src/") || second === undefined) return undefined;
  if (first !== "core") return first;
  return third === undefined ? undefined : `core/${second}`;
}

function whyForbidden(layer: string, use: ImportUse, options: LayerOptions): string | undefined {
  if (use.specifier === undefined) return "imports a module whose name is computed";
  const target = resolveImport(use);
  if (target === undefined) return whyPackageForbidden(layer, use.specifier, options);
  if (!target.startsWith("src/")) return `imports ${target}, outside src`;
  if (/\.test\.tsx?$/.test(target)) return `imports the test ${target}`;
  const targetLayer = layerOf(target);
  if (use.from !== coreEntry && /\/index\.tsx?$/.test(target)) {
    return `imports the barrel ${target}; import the file itself`;
  }
  if (targetLayer === undefined) return `imports ${target}, whose folder is not in the folder table`;
  if (targetLayer === layer) return undefined;
  if (layer === "core") {
    return targetLayer.startsWith("core/") ? undefined : `imports ${target}, which is not core`;
  }
  return mayImport(layer, targetLayer, use)
    ? undefined
    : `${layer} may not import ${targetLayer} (${target})`;
}

function mayImport(layer: string, target: string, use: ImportUse): boolean {
  const rule = layerTable[layer];
  if (rule === undefined) return false;
  const names = (list: readonly string[] = []): boolean =>
    list.includes(target) || (target.startsWith("core/") && list.includes(everyCoreFolder));
  if (names(rule.values)) return true;
  if (use.typeOnly && names(rule.types)) return true;
  if (rule.files !== undefined && resolveImport(use)?.startsWith(rule.files)) return true;
  return use.from === `src/${layer}/main.ts` && names(rule.wiring);
}

function whyPackageForbidden(layer: string, specifier: string, options: LayerOptions): string | undefined {
  const name = packageOf(specifier);
  if (specifier.startsWith("node:") || builtinModules.includes(name)) {
    return layersOnNode.includes(layer) ? undefined : `${layer} may not use the Node module ${specifier}`;
  }
  const inCore = layer === "core" || layer.startsWith("core/");
  if (inCore && !corePackages.includes(name)) return `the core may not use the package ${name}`;
  if (layer === "web" && bundledPackages.includes(name)) return undefined;
  return options.dependencies.has(name) ? undefined : `the package ${name} is not among the dependencies`;
}

/**
 * Groups of files that import each other in a ring, each as one line `a -> b -> a`; type imports count too.
 * Depth-first search for strongly connected components, R. Tarjan, SIAM J. Comput. 1(2), 1972, pp. 146-160.
 */
export function findImportCycles(files: FileTexts): string[] {
  const targets = new Map<string, string[]>();
  for (const [path, text] of files) {
    const own = new Set<string>();
    for (const use of findImports(path, text)) {
      const target = resolveImport(use);
      if (target !== undefined && files.has(target)) own.add(target);
    }
    targets.set(path, [...own]);
  }
  const order = new Map<string, number>();
  const open: string[] = [];
  const cycles: string[] = [];
  const visit = (path: string): number => {
    const number = order.size;
    let low = number;
    order.set(path, number);
    open.push(path);
    for (const target of targets.get(path) ?? []) {
      const seen = order.get(target);
      if (seen === undefined) low = Math.min(low, visit(target));
      else if (open.includes(target)) low = Math.min(low, seen);
    }
    if (low === number) {
      const group = new Set(open.splice(open.indexOf(path)));
      if (group.size > 1 || (targets.get(path) ?? []).includes(path))
        cycles.push(ringWithin(group, path, targets));
    }
    return low;
  };
  for (const path of files.keys()) if (!order.has(path)) visit(path);
  return cycles;
}

/** A shortest way from `start` back to itself inside its group. */
function ringWithin(
  group: ReadonlySet<string>,
  start: string,
  targets: ReadonlyMap<string, string[]>,
): string {
  const ways: string[][] = [[start]];
  const seen = new Set<string>();
  for (const way of ways) {
    for (const target of targets.get(way.at(-1) ?? start) ?? []) {
      if (target === start) return [...way, start].join(" -> ");
      if (!group.has(target) || seen.has(target)) continue;
      seen.add(target);
      ways.push([...way, target]);
    }
  }
  return [...group].join(", ");
}
