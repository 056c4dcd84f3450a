/**
 * A second view of danger: two classes only, over all asks, by words in order and apart and by what is denied. It has
 * no entries to tell from each other, so it weighs "no smell" and "went out, then" where the model of all entries
 * weighs what names an entry. Pure.
 */
import type { Reading } from "../reading/lexicon.js";
import {
  type FeatureIndex,
  featuresOf,
  indexFeatures,
  vectorOf,
  type Weights,
} from "./features.js";
import { type Model, scoresOf, train } from "./model.js";

export type Alarm = { features: FeatureIndex; model: Model };

/** Measured on asks left out by fifths. */
const weights: Weights = { stem: 1, pair: 0.8, gram: 0, meaning: 0.5, apart: 0.8, denied: 0.6 };
const training = { epochs: 5, rate: 1, share: 0, floor: 0.003, perEntry: 0 };

/** Learns from readings of which each is said to be a danger (1) or not (0). */
export function learnAlarm(readings: readonly Reading[], danger: Int32Array): Alarm {
  const found = readings.map((r) => featuresOf(r, weights));
  const features = indexFeatures(found);
  const docs = found.map((f) => vectorOf(features, f, weights));
  const lessons = { docs, labels: danger, classes: 2, groups: [[], []] };
  return { features, model: train({ ...lessons, features: features.weights.length }, training) };
}

/** How likely a message tells of a danger, as log-odds. */
export function alarmOf({ features, model }: Alarm, reading: Reading): number {
  const [calm = 0, danger = 0] = scoresOf(
    model,
    vectorOf(features, featuresOf(reading, weights), weights),
  );
  return danger - calm;
}
