// The hole of a pane by pointer or by keys.

import { takeHole } from "./hold_hole.js";
import { hold } from "./holding.js";

hold([[".bore", takeHole]]);
