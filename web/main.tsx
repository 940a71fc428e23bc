import './style/tokens.css';
import './style/base.css';
import './style/shell.css';
import './style/desk.css';
import './style/card.css';
import './style/surveys.css';
import './style/preview.css';
import './style/grade.css';
import './style/start.css';
import './style/find.css';
import './style/outlook.css';
import './style/plots.css';
import './style/takeoff.css';
import { effect } from '@preact/signals';
import { render } from 'preact';
import { App } from './app.tsx';
import { listenToKeys } from './keyboard.ts';
import { start } from './load.ts';
import { followAddress, title } from './state.ts';

followAddress();
effect(() => {
  document.title = title.value;
});
listenToKeys();
void start();
render(<App />, document.getElementById('app')!);
