// Evaluates the conditions of data/conflicts.toml on a formula. The language itself, with examples, is described in
// kb/condition.h: both the indexer, which refuses a condition that cannot be read, and this side read it with ParseCondition.
#pragma once

#include "kb/condition.h"
