/**
 * One-vs-rest linear support vector machines with squared hinge loss, trained by dual coordinate descent.
 * Source: Hsieh, Chang, Lin, Keerthi, Sundararajan (2008), "A Dual Coordinate Descent Method for
 * Large-scale Linear SVM". Pure: the order of visits comes from a fixed seed.
 */
import type { Vector } from "./features.js";

export type Svm = {
  classes: number;
  /** Weight of feature f for class c at f·classes + c. */
  weights: Float32Array;
  bias: Float32Array;
};
export type Training = Readonly<{ cost: number; positive: number; epochs: number }>;

/** A fixed shuffle of 0…n−1 (linear congruential, Numerical Recipes constants). */
function shuffled(n: number): Int32Array {
  const order = Int32Array.from({ length: n }, (_, i) => i);
  let seed = 12345;
  for (let i = n - 1; i > 0; i--) {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    const j = seed % (i + 1);
    const a = order[i] ?? 0;
    order[i] = order[j] ?? 0;
    order[j] = a;
  }
  return order;
}

type Rows = { start: Int32Array; ids: Int32Array; values: Float32Array; square: Float32Array };

function packed(docs: readonly Vector[]): Rows {
  const start = new Int32Array(docs.length + 1);
  for (let i = 0; i < docs.length; i++) start[i + 1] = (start[i] ?? 0) + (docs[i]?.ids.length ?? 0);
  const total = start[docs.length] ?? 0;
  const rows = { start, ids: new Int32Array(total), values: new Float32Array(total), square: new Float32Array(docs.length) };
  for (const [i, doc] of docs.entries()) {
    rows.ids.set(doc.ids, start[i] ?? 0);
    rows.values.set(doc.values, start[i] ?? 0);
    rows.square[i] = doc.values.reduce((s, v) => s + v * v, 1);
  }
  return rows;
}

/** One class against the rest. Rows far on the right side of the margin are not visited again. */
function trainOne(rows: Rows, labels: Int32Array, c: number, w: Float32Array, order: Int32Array, how: Training): number {
  const { start, ids, values, square } = rows;
  const alpha = new Float32Array(labels.length);
  const slackNegative = 1 / (2 * how.cost);
  const slackPositive = slackNegative / how.positive;
  let bias = 0;
  let active = order;
  for (let epoch = 0; epoch < how.epochs; epoch++) {
    const stays = new Int32Array(active.length);
    let kept = 0;
    for (let k = 0; k < active.length; k++) {
      const i = active[k] as number;
      const y = labels[i] === c ? 1 : -1;
      const slack = y > 0 ? slackPositive : slackNegative;
      const to = start[i + 1] as number;
      let sum = bias;
      for (let p = start[i] as number; p < to; p++) sum += (w[ids[p] as number] as number) * (values[p] as number);
      const old = alpha[i] as number;
      const gradient = y * sum - 1 + slack * old;
      if (epoch > 0 && old === 0 && gradient > 0.6) continue;
      stays[kept++] = i;
      if (old === 0 && gradient >= 0) continue;
      const now = Math.max(old - gradient / ((square[i] as number) + slack), 0);
      const step = (now - old) * y;
      if (step === 0) continue;
      alpha[i] = now;
      for (let p = start[i] as number; p < to; p++) {
        const at = ids[p] as number;
        w[at] = (w[at] as number) + step * (values[p] as number);
      }
      bias += step;
    }
    active = stays.subarray(0, kept);
  }
  return bias;
}

/** Trains all classes. `labels` holds each document's class number; `features` how many features there are. */
export function train(docs: readonly Vector[], labels: Int32Array, sizes: { classes: number; features: number }, how: Training): Svm {
  const rows = packed(docs);
  const { classes, features } = sizes;
  const weights = new Float32Array(features * classes);
  const bias = new Float32Array(classes);
  const base = shuffled(docs.length);
  const w = new Float32Array(features);
  for (let c = 0; c < classes; c++) {
    w.fill(0);
    bias[c] = trainOne(rows, labels, c, w, base, how);
    for (let f = 0; f < features; f++) weights[f * classes + c] = w[f] ?? 0;
  }
  return { classes, weights, bias };
}

/** The margin of every class for one text. */
export function margins(svm: Svm, x: Vector): Float64Array {
  const { classes, weights } = svm;
  const out = Float64Array.from(svm.bias);
  for (let i = 0; i < x.ids.length; i++) {
    const from = (x.ids[i] as number) * classes;
    const v = x.values[i] as number;
    for (let c = 0; c < classes; c++) out[c] = (out[c] as number) + v * (weights[from + c] as number);
  }
  return out;
}
