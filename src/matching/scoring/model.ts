/**
 * The trained model: multinomial logistic regression over sparse features, where entries of one kind and
 * area share part of their weights, so that what thirty lights have in common helps the next one.
 * Stochastic gradient steps in a fixed order; after two rounds only the entries still in question are
 * visited. It beat one-vs-rest linear SVMs here (`npm run evaluate`) and gives scores on one scale. Pure.
 */
import type { Vector } from "./features.js";

export type Model = {
  classes: number;
  /** Weight of feature f for class c at f·classes + c. */
  weights: Float32Array;
  bias: Float32Array;
};
export type Training = Readonly<{
  epochs: number;
  /** First step; it shrinks as 1/(1 + epoch/2). */
  rate: number;
  /** How much of what is learnt goes to the groups. */
  share: number;
  /** At most so many texts of an entry are learnt from: BM25F reads all, and time grows with each. */
  perEntry: number;
  /** Probabilities below this teach nothing. */
  floor: number;
}>;
type Lessons = {
  docs: readonly Vector[];
  /** The class of each document. */
  labels: Int32Array;
  classes: number;
  features: number;
  /** The groups of each class, numbered from 0. */
  groups: readonly (readonly number[])[];
};

const biasStep = 0.1;

/** A fixed shuffle (linear congruential, Numerical Recipes constants); each call goes on from the last. */
function shuffler(seed: number): (order: Int32Array) => void {
  let state = seed;
  return (order) => {
    for (let i = order.length - 1; i > 0; i--) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      const j = state % (i + 1);
      const a = order[i] as number;
      order[i] = order[j] as number;
      order[j] = a;
    }
  };
}

/** Weights while training: a row for each class, then one for each group. */
type Bench = {
  rows: number;
  weights: Float32Array;
  bias: Float32Array;
  score: Float64Array;
  push: Float64Array;
  /** The group rows of each class. */
  groupRows: Int32Array[];
  share: number;
};

function bench(lessons: Lessons, how: Training): Bench {
  const { classes, features, groups } = lessons;
  const rows = classes + 1 + groups.reduce((m, g) => Math.max(m, ...g), 0);
  return {
    rows,
    weights: new Float32Array(features * rows),
    bias: new Float32Array(rows),
    score: new Float64Array(rows),
    push: new Float64Array(rows),
    groupRows: groups.map((gs) => Int32Array.from(gs, (g) => classes + g)),
    share: Math.sqrt(how.share),
  };
}

/** The evidence of one document for the rows in question; all rows when none are named. */
function weigh(b: Bench, doc: Vector, live: Int32Array | undefined): void {
  const { score, weights, bias, rows } = b;
  if (live) for (const r of live) score[r] = bias[r] as number;
  else score.set(bias);
  for (let k = 0; k < doc.ids.length; k++) {
    const from = (doc.ids[k] as number) * rows;
    const v = doc.values[k] as number;
    if (!live)
      for (let r = 0; r < rows; r++)
        score[r] = (score[r] as number) + v * (weights[from + r] as number);
    else
      for (let i = 0; i < live.length; i++) {
        const r = live[i] as number;
        score[r] = (score[r] as number) + v * (weights[from + r] as number);
      }
  }
}

/** Probabilities of the classes looked at, from their own and their groups' scores. */
function chances(b: Bench, looked: Int32Array): Float64Array {
  const p = new Float64Array(looked.length);
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < looked.length; i++) {
    const c = looked[i] as number;
    let s = b.score[c] as number;
    for (const g of b.groupRows[c] as Int32Array) s += b.share * (b.score[g] as number);
    p[i] = s;
    if (s > most) most = s;
  }
  let sum = 0;
  for (let i = 0; i < p.length; i++) sum += p[i] = Math.exp((p[i] as number) - most);
  for (let i = 0; i < p.length; i++) p[i] = (p[i] as number) / sum;
  return p;
}

/** Moves the weights of every row that was pushed, along the document. */
function move(b: Bench, doc: Vector, touched: ReadonlySet<number>, rate: number): void {
  for (const row of touched) {
    const by = rate * (b.push[row] as number);
    b.bias[row] = (b.bias[row] as number) - by * biasStep;
    for (let k = 0; k < doc.ids.length; k++) {
      const i = (doc.ids[k] as number) * b.rows + row;
      b.weights[i] = (b.weights[i] as number) - by * (doc.values[k] as number);
    }
  }
}

/** One step on one document. Gives back the classes that are still in question. */
function step(
  b: Bench,
  doc: Vector,
  label: number,
  looked: Int32Array,
  live: Int32Array | undefined,
  how: { rate: number; floor: number },
): number[] {
  weigh(b, doc, live);
  const p = chances(b, looked);
  const inQuestion: number[] = [];
  const touched = new Set<number>();
  for (let i = 0; i < looked.length; i++) {
    const c = looked[i] as number;
    const g = (p[i] as number) - (c === label ? 1 : 0);
    if (c !== label && g < how.floor) continue;
    inQuestion.push(c);
    if (Math.abs(g) < how.floor) continue;
    b.push[c] = g;
    touched.add(c);
    for (const row of b.groupRows[c] as Int32Array) {
      b.push[row] = (touched.has(row) ? (b.push[row] as number) : 0) + b.share * g;
      touched.add(row);
    }
  }
  move(b, doc, touched, how.rate);
  return inQuestion;
}

/** The classes with their groups' share folded in. */
function folded(b: Bench, { classes, features }: Lessons): Model {
  const weights = new Float32Array(features * classes);
  const bias = new Float32Array(classes);
  for (let c = 0; c < classes; c++) {
    bias[c] = b.bias[c] as number;
    for (const g of b.groupRows[c] as Int32Array)
      bias[c] = (bias[c] as number) + b.share * (b.bias[g] as number);
  }
  // Feature by feature, as the weights lie in memory.
  for (let f = 0; f < features; f++)
    for (let c = 0; c < classes; c++) {
      let w = b.weights[f * b.rows + c] as number;
      for (const g of b.groupRows[c] as Int32Array)
        w += b.share * (b.weights[f * b.rows + g] as number);
      weights[f * classes + c] = w;
    }
  return { classes, weights, bias };
}

/** Trains the model. The same lessons always give the same weights. */
export function train(lessons: Lessons, how: Training): Model {
  const b = bench(lessons, how);
  const order = Int32Array.from(lessons.docs, (_, i) => i);
  const all = Int32Array.from({ length: lessons.classes }, (_, c) => c);
  const looked: Int32Array[] = lessons.docs.map(() => all);
  const live: (Int32Array | undefined)[] = lessons.docs.map(() => undefined);
  const shuffle = shuffler(12345);
  for (let epoch = 0; epoch < how.epochs; epoch++) {
    shuffle(order);
    const rate = how.rate / (1 + epoch / 2);
    for (const at of order) {
      const doc = lessons.docs[at] as Vector;
      const left = step(b, doc, lessons.labels[at] as number, looked[at] as Int32Array, live[at], {
        rate,
        floor: how.floor,
      });
      if (epoch !== 1) continue;
      const rows = new Set(left);
      for (const c of left) for (const g of b.groupRows[c] as Int32Array) rows.add(g);
      looked[at] = Int32Array.from(left);
      live[at] = Int32Array.from(rows);
    }
  }
  return folded(b, lessons);
}

/** The score of every class for one text. */
export function scoresOf(model: Model, x: Vector): Float64Array {
  const { classes, weights } = model;
  const out = Float64Array.from(model.bias);
  for (let i = 0; i < x.ids.length; i++) {
    const from = (x.ids[i] as number) * classes;
    const v = x.values[i] as number;
    for (let c = 0; c < classes; c++)
      out[c] = (out[c] as number) + v * (weights[from + c] as number);
  }
  return out;
}
