import { MemoryLog } from '@plumbline/base';
import { logContract } from './contract.ts';

logContract('the log in memory', async () => ({ log: new MemoryLog(), close: async () => {} }));
