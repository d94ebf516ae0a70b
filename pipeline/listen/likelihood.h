#pragma once
#include "pipeline/listen/part_signs.h"

namespace tabard::pipeline {

/// How likely every change of a part lies within 200 ms of where it was found, 0 to 1, and the sign that speaks most
/// against it.
struct Likelihood {
    double share = 0;
    Sign against = Sign::written;
};

/// Logistic regression over the signs of a part.
Likelihood likelihood(PartSigns const& signs);

} // namespace tabard::pipeline
