#pragma once
#include "sample_media/make/pen.h"

namespace tabard::lantern {

/// The quay at dusk without the player. What never moves is drawn once.
class Harbour {
public:
    Harbour();
    void draw(Pen& pen, int ms) const;

private:
    Pen m_still;
};

} // namespace tabard::lantern
