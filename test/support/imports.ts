import { posix } from "node:path";
import ts from "typescript";

/** One place where a source file names another module. */
export interface ImportUse {
  readonly from: string;
  /** The module as written, or undefined where it is computed at run time. */
  readonly specifier: string | undefined;
  /** First line is 1. */
  readonly line: number;
  /** True where the import leaves nothing behind in the compiled file. */
  readonly typeOnly: boolean;
}

/** Syntax tree of a source text, with parents set. */
export function parseSource(path: string, text: string): ts.SourceFile {
  const kind = path.endsWith(".tsx") ? ts.ScriptKind.TSX : ts.ScriptKind.TS;
  return ts.createSourceFile(path, text, ts.ScriptTarget.ES2023, true, kind);
}

/** Line of a node's first character; the first line is 1. */
export function lineOf(source: ts.SourceFile, node: ts.Node): number {
  return source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1;
}

/** Every import, re-export, `import()`, `require()` and `import("…")` type of a source text, in order. */
export function findImports(path: string, text: string): ImportUse[] {
  const source = parseSource(path, text);
  const uses: ImportUse[] = [];
  const add = (node: ts.Node, specifier: ts.Node | undefined, typeOnly: boolean): void => {
    const name = specifier !== undefined && ts.isStringLiteralLike(specifier) ? specifier.text : undefined;
    uses.push({ from: path, specifier: name, line: lineOf(source, node), typeOnly });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node)) {
      add(node, node.moduleSpecifier, node.importClause?.phaseModifier === ts.SyntaxKind.TypeKeyword);
    } else if (ts.isExportDeclaration(node) && node.moduleSpecifier !== undefined) {
      add(node, node.moduleSpecifier, node.isTypeOnly);
    } else if (ts.isImportEqualsDeclaration(node) && ts.isExternalModuleReference(node.moduleReference)) {
      add(node, node.moduleReference.expression, node.isTypeOnly);
    } else if (ts.isImportTypeNode(node)) {
      add(node, ts.isLiteralTypeNode(node.argument) ? node.argument.literal : undefined, true);
    } else if (ts.isCallExpression(node) && loadsModule(node)) {
      add(node, node.arguments[0], false);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return uses;
}

function loadsModule(call: ts.CallExpression): boolean {
  if (call.expression.kind === ts.SyntaxKind.ImportKeyword) return true;
  return ts.isIdentifier(call.expression) && call.expression.text === "require";
}

/** Path of the source file that a relative specifier means, or undefined for a package or a Node module. */
export function resolveImport(use: ImportUse): string | undefined {
  if (use.specifier === undefined || !use.specifier.startsWith(".")) return undefined;
  const path = posix.join(posix.dirname(use.from), use.specifier);
  return path.replace(/\.js$/, ".ts").replace(/\.jsx$/, ".tsx");
}

/** Name of the package that a specifier belongs to: `a/b` is of `a`, `@s/a/b` of `@s/a`. */
export function packageOf(specifier: string): string {
  return specifier
    .split("/")
    .slice(0, specifier.startsWith("@") ? 2 : 1)
    .join("/");
}
