import './style/tokens.css';
import './style/base.css';
import './style/shell.css';
import './style/desk.css';
import './style/card.css';
import './style/surveys.css';
import { render } from 'preact';
import { App } from './app.tsx';
import { listenToKeys } from './keyboard.ts';
import { start } from './load.ts';
import { followAddress } from './state.ts';

followAddress();
listenToKeys();
void start();
render(<App />, document.getElementById('app')!);
