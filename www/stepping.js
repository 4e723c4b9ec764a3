// A question that is answered in steps: the page stays alive between them.

import { Stepped } from "cellwright";

/** @typedef {import("cellwright").SteppedQuestions} SteppedQuestions */

/**
 * Steps a question until it is done; gives a job that ends with what is known so far once its `stop` is set.
 * @template {keyof SteppedQuestions} Q
 * @param {import("cellwright").Stepped<Q>} search
 * @param {number} count effort of one step
 * @param {(progress: SteppedQuestions[Q]) => void} tell how far it has come, after each step
 * @param {(answer: import("cellwright").Questions[Q]["answer"]) => void} end
 */
export function inSteps(search, count, tell, end) {
  const job = { stop: false };
  const turn = () => {
    const progress = search.step(count);
    tell(progress);
    if (!progress.done && !job.stop) {
      setTimeout(turn, 0);
      return;
    }
    end(search.answer());
    search.free();
  };
  setTimeout(turn, 0);
  return job;
}

/**
 * A question about whole plans as work in slices: works until a moment, and tells whether it is done.
 * @template {"plan" | "compare_plans" | "parts_list"} Q
 * @param {Q} question
 * @param {import("cellwright").Questions[Q]["input"]} input
 * @param {(answer: import("cellwright").Questions[Q]["answer"]) => void} end
 * @param {(error: unknown) => void} failed
 */
export function inSlices(question, input, end, failed) {
  /** @type {Stepped<Q> | null} */
  let work = null;
  return (/** @type {number} */ until) => {
    try {
      const steps = (work ??= new Stepped(question, input));
      while (!steps.step(1).done) if (performance.now() >= until) return false;
      end(steps.answer());
      steps.free();
    } catch (error) {
      failed(error);
    }
    return true;
  };
}
