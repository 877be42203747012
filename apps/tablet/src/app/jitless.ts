import * as z from 'zod/mini';

// The base forbids `eval`; this must run before the first schema is made, so it is imported first.
z.config({ jitless: true });
