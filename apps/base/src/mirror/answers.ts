import * as z from 'zod';
import { answerSchema, type BatchAnswer } from './batch.ts';
import type { PostAnswer } from './post.ts';
import { isMirrorRefusal, MirrorRefused } from './refusals.ts';

const problemSchema = z.object({ errors: z.array(z.object({ path: z.string() })).min(1) });

/** @throws MirrorRefused, or an error with what the other base said */
export function readAnswer(answer: PostAnswer): BatchAnswer {
  return answerSchema.parse(readJson(answer));
}

/** The JSON of an answer that is good. @throws MirrorRefused, or an error with what the other base said */
export function readJson({ status, text }: PostAnswer): unknown {
  if (status === 401) throw new MirrorRefused('key');
  if (status === 200) return JSON.parse(text);
  const problem = problemSchema.safeParse(parsed(text));
  const why = problem.data?.errors[0]?.path ?? '';
  if (isMirrorRefusal(why)) throw new MirrorRefused(why);
  throw new Error(`it answered ${status}`);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
