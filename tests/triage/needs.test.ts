/** Sentences as people at the roadside write them, and what they tell of who is in need. */
import { describe, expect, it } from "vitest";
import { readNeeds } from "../../src/triage/needs.js";

describe("who is in need", () => {
  it.each([
    ["on my own with the baby", ["child", "alone"]],
    ["5% battery", ["phone-flat"]],
    ["battery 5 percent left on phone", ["phone-flat"]],
    ["my phone is about to die", ["phone-flat"]],
    ["I've 12% left and no charger", ["phone-flat"]],
    ["its freezing and we have two kids in the back", ["child", "cold-dark"]],
    ["pitch black here", ["cold-dark"]],
    ["my 3 year old is crying", ["child"]],
    ["im by myself and its getting dark", ["alone", "cold-dark"]],
    ["my wife is 8 months pregnant", ["medical"]],
    ["dad needs his insulin in the fridge", ["medical"]],
    ["he's feeling really faint", ["medical"]],
    ["nobody around for miles", ["alone"]],
    ["no kids but my mum is elderly", ["medical"]],
    ["not alone, wee ones with us", ["child"]],
  ] as const)("is read from %j", (text, needs) => {
    expect(readNeeds(text)).toEqual(needs);
  });
  it.each([
    "no kids with us",
    "where is the child seat",
    "not alone, my husband is here",
    "please leave me alone",
    "the leisure battery is at 5%",
    "engine was cold when I started it",
    "nobody is ill",
    "plenty of battery left on the phone",
    "sorry, phone was flat, all ok",
    "red oil light came on at 60 mph",
    "the dashboard went dark",
    "10% off at the campsite",
    "tank is 5% full",
  ])("is not read from %j", (text) => {
    expect(readNeeds(text)).toEqual([]);
  });
  it("takes a bare percentage in an electric van for the van's, with the phone named for the phone's", () => {
    expect(readNeeds("battery is at 5%", true)).toEqual([]);
    expect(readNeeds("phone battery is at 5%", true)).toEqual(["phone-flat"]);
  });
});
