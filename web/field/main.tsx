import '../style/tokens.css';
import '../style/base.css';
import './field.css';
import { render } from 'preact';
import { followAddress } from './address.ts';
import { CrewPage } from './crew-page.tsx';
import { readPhone } from './night.ts';
import { keepInStep } from './sync.ts';
import { keepPage } from './update.ts';

followAddress();
render(<CrewPage />, document.getElementById('app')!);
void navigator.storage?.persist?.();
void readPhone().then(keepInStep);
keepPage();
