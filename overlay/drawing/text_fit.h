#pragma once
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"

namespace tabard::overlay {

/// Whether a text card shows the whole of its text in such a picture; false where it would end with an ellipsis though
/// it is set as small as texts are.
bool text_fits(TextCard const& card, Stage const& stage, Theme const& theme);

/// Whether a chord's name is whole in such a picture at the size that says what to play; false where it would end with
/// an ellipsis.
bool name_fits(ChordLabel const& label, Stage const& stage, Theme const& theme);

} // namespace tabard::overlay
