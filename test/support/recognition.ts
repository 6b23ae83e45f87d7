import { renderProblem } from "../../src/core/base/problem.js";
import {
  joinRecognitionFiles,
  parseRecognitionFile,
  type RecognitionData,
} from "../../src/core/board/recognise/recognition-data.js";
import { readFiles } from "./source-files.js";

/** The recognition data as it is delivered. Throws if its files have any problem. */
export function readRecognitionData(): RecognitionData {
  const files = [...readFiles("data/recognition", (path) => path.endsWith(".json"))].map(([file, text]) => {
    const { value, problems } = parseRecognitionFile(text, { file });
    if (value === undefined || problems.length > 0) throw new Error(problems.map(renderProblem).join("\n"));
    return value;
  });
  return joinRecognitionFiles(files);
}
