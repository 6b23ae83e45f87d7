/** The core as others may use it: pure, for Node and the browser. Files of this repository import each other directly. */
export * from "./base/errors.js";
export * from "./base/problem.js";
export * from "./board/board.js";
export * from "./board/expression.js";
export * from "./board/failure-mode.js";
export * from "./board/part-type.js";
export * from "./board/source.js";
