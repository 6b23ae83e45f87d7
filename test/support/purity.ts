import ts from "typescript";
import { lineOf, parseSource } from "./imports.js";

const hostNames: ReadonlySet<string> = new Set([
  "AbortSignal",
  "Buffer",
  "Function",
  "Intl",
  "SharedArrayBuffer",
  "console",
  "crypto",
  "document",
  "eval",
  "fetch",
  "global",
  "globalThis",
  "localStorage",
  "navigator",
  "performance",
  "process",
  "queueMicrotask",
  "self",
  "setImmediate",
  "setInterval",
  "setTimeout",
  "window",
]);

/** Members whose result depends on the place or the language of the machine. */
const localMembers: ReadonlySet<string> = new Set([
  "getDate",
  "getDay",
  "getFullYear",
  "getHours",
  "getMinutes",
  "getMonth",
  "getSeconds",
  "getTimezoneOffset",
  "localeCompare",
  "toLocaleDateString",
  "toLocaleLowerCase",
  "toLocaleString",
  "toLocaleTimeString",
  "toLocaleUpperCase",
]);

/**
 * One line for each expression that makes the result of a source text depend on anything but its arguments:
 * a clock, unseeded randomness, the host or its locale. Works on the syntax tree; types are not looked at.
 */
export function findImpurities(path: string, text: string): string[] {
  const source = parseSource(path, text);
  const declared = declaredNames(source);
  const found: string[] = [];
  const report = (node: ts.Node, what: string): void => {
    found.push(`${path}:${lineOf(source, node)}: ${what}`);
  };
  const visit = (node: ts.Node): void => {
    if (ts.isTypeNode(node) && !ts.isExpressionWithTypeArguments(node)) return;
    const member = memberName(node);
    if (member !== undefined && localMembers.has(member)) {
      report(node, `${member} depends on the machine's language or time zone`);
    }
    if (ts.isMetaProperty(node) && node.keywordToken === ts.SyntaxKind.ImportKeyword) {
      report(node, "import.meta depends on where the file stands");
    }
    if (ts.isIdentifier(node) && isReference(node)) {
      const reason = whyImpure(node, declared);
      if (reason !== undefined) report(node, reason);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function whyImpure(name: ts.Identifier, declared: ReadonlySet<string>): string | undefined {
  if (name.text === "Math") return whyMathImpure(name);
  if (name.text === "Date") return whyDateImpure(name);
  if (!hostNames.has(name.text) || declared.has(name.text)) return undefined;
  return `${name.text} belongs to the host`;
}

function whyMathImpure(name: ts.Identifier): string | undefined {
  const member = memberOf(name);
  if (member === undefined) return "Math may only be used as Math.member";
  return member === "random" ? "Math.random is not seeded" : undefined;
}

function whyDateImpure(name: ts.Identifier): string | undefined {
  const { parent } = name;
  if (ts.isNewExpression(parent) && parent.expression === name) {
    const [first, ...rest] = parent.arguments ?? [];
    if (first === undefined) return "new Date() reads the clock";
    if (rest.length > 0 || ts.isSpreadElement(first)) return "new Date(year, ...) depends on the time zone";
    return undefined;
  }
  if (ts.isBinaryExpression(parent) && parent.operatorToken.kind === ts.SyntaxKind.InstanceOfKeyword) {
    return undefined;
  }
  const member = memberOf(name);
  if (member === "now") return "Date.now reads the clock";
  return member === "UTC" || member === "parse"
    ? undefined
    : "Date may only be used as new Date(x), Date.UTC, Date.parse";
}

/** `b` where the parent of `name` is `name.b` or `name["b"]`. */
function memberOf(name: ts.Identifier): string | undefined {
  const { parent } = name;
  const isObject =
    (ts.isPropertyAccessExpression(parent) || ts.isElementAccessExpression(parent)) &&
    parent.expression === name;
  return isObject ? memberName(parent) : undefined;
}

/** `b` of `a.b` and `a["b"]`. */
function memberName(node: ts.Node): string | undefined {
  if (ts.isPropertyAccessExpression(node)) return node.name.text;
  if (ts.isElementAccessExpression(node) && ts.isStringLiteralLike(node.argumentExpression)) {
    return node.argumentExpression.text;
  }
  return undefined;
}

/** True where an identifier stands for a value, not for a member, a key or a declaration. */
function isReference(name: ts.Identifier): boolean {
  const { parent } = name;
  if (ts.isPropertyAccessExpression(parent)) return parent.expression === name;
  if (ts.isPropertyAssignment(parent) || ts.isEnumMember(parent)) return parent.initializer === name;
  if (ts.isBindingElement(parent)) return parent.initializer === name;
  if (ts.isVariableDeclaration(parent) || ts.isParameter(parent) || ts.isPropertyDeclaration(parent)) {
    return parent.initializer === name;
  }
  const isDeclaration =
    ts.isFunctionLike(parent) ||
    ts.isClassLike(parent) ||
    ts.isInterfaceDeclaration(parent) ||
    ts.isTypeAliasDeclaration(parent) ||
    ts.isPropertySignature(parent) ||
    ts.isImportSpecifier(parent) ||
    ts.isImportClause(parent) ||
    ts.isNamespaceImport(parent) ||
    ts.isLabeledStatement(parent) ||
    ts.isBreakOrContinueStatement(parent);
  // An arrow function's body may be a bare name.
  return !isDeclaration || (ts.isArrowFunction(parent) && parent.body === name);
}

/** Every name the file declares anywhere; such a name is not the host's. */
function declaredNames(source: ts.SourceFile): Set<string> {
  const names = new Set<string>();
  const visit = (node: ts.Node): void => {
    const declares =
      ts.isVariableDeclaration(node) ||
      ts.isBindingElement(node) ||
      ts.isParameter(node) ||
      ts.isFunctionDeclaration(node) ||
      ts.isFunctionExpression(node) ||
      ts.isClassLike(node) ||
      ts.isImportSpecifier(node) ||
      ts.isImportClause(node) ||
      ts.isNamespaceImport(node);
    if (declares && node.name !== undefined && ts.isIdentifier(node.name)) names.add(node.name.text);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return names;
}
