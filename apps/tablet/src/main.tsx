import './app/jitless.ts';
import { render } from 'preact';
import { App, prepareHere } from './app/App.tsx';
import { fetchFace, hasFace } from './app/face.ts';
import { keepPage } from './app/versions.ts';

prepareHere();
const root = document.getElementById('app');
if (root) render(<App />, root);
if (hasFace()) void fetchFace().catch(() => {});
void keepPage();
