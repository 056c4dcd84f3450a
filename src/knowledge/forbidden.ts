/** Words that no text of ours may say: promises about cover, safety or blame (liability of words). Pure. */
const forbidden: RegExp[] = [
  /\byou(?:'re| are) (?:fully )?(?:covered|insured)\b/i,
  /\bit(?:'s| is)(?: perfectly| quite| completely)? safe\b/i,
  /\b(?:is|are) (?:perfectly|completely|totally) safe\b/i,
  /\bsafe to (?:drive|continue|drink|carry on)\b/i,
  /\byou can (?:safely )?(?:drive it|drive on|keep driving|carry on driving)\b/i,
  /\byou (?:can|may) safely\b/i,
  /\b(?:it was|it is|it's|that is|that's) (?:your|their|our) fault\b/i,
  /\bhelp is on (?:the|its) way\b/i,
  /\bdon'?t worry\b/i,
  /\bwe guarantee\b/i,
  /\bdeposit (?:will be|is) (?:back|returned|refunded) (?:by|on|within)\b/i,
];

/** The forbidden wordings found in a text, as they stand in it. */
export function forbiddenIn(text: string): string[] {
  return forbidden.flatMap((pattern) => {
    const hit = pattern.exec(text);
    return hit ? [hit[0]] : [];
  });
}
