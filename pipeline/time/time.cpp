#include "pipeline/time/time.h"
