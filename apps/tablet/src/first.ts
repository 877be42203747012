import { isNoted, memberKey } from './app/keys.ts';
import { readPlace } from './app/places.ts';
import { askAhead } from './board/ahead.ts';
import './style/tokens.css';
import './style/base.css';
import './style/shell.css';
import './style/parts.css';
import './style/words.css';

// So small that it is here long before all the other code, which then comes beside the board and not before it.
const here = readPlace(location.pathname);
if (here.kind === 'board' && isNoted(memberKey(here.board))) askAhead(here.board);
void import('./main.tsx');
