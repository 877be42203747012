import type { RuleBoard } from './board.ts';
import type { Finding, Remedy } from './finding.ts';
import type { Judged } from './judge.ts';
import { isShot } from './remedies/mend.ts';

/**
 * A finding as others see it. What would mend it is worked out when somebody asks for it, or for the message, which
 * says so where nothing would: a board may have hundreds of findings and show ten.
 */
export function present(board: RuleBoard, judged: Judged, remedies: () => readonly Remedy[]): Finding {
  const { id, rule, severity, department, draft, accepted } = judged;
  const { targets, message, measured, allowed } = draft;
  return {
    id,
    rule,
    severity,
    department,
    targets,
    get message() {
      if (isShot(board, judged))
        return `${message} It is shot: what is to be cut with it can still be matched to it.`;
      return remedies().length > 0 ? message : `${message} Nothing at hand mends it.`;
    },
    measured,
    allowed,
    get remedies() {
      return remedies();
    },
    accepted,
  };
}
