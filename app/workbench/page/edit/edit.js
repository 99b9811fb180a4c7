/* The parts with which the van is changed; each registers itself. */
import './start.js';
import './panel.js';
import './circuits.js';
import './connect.js';
import './text.js';
import './both.js';
import './elsewhere.js';
import './keys.js';
