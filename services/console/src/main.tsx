/** Puts the console on the page. */
import { render } from 'preact';
import { App } from './shell/app.tsx';

render(<App />, document.getElementById('page')!);
