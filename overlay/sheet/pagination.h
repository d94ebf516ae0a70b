#pragma once
#include "overlay/sheet/page.h"

namespace tabard::overlay::sheet {

/// A block and where its top is, from the top margin.
struct Placed {
    Block const* block = nullptr;
    double y = 0;
    std::string continued; ///< heading of a part that began on an earlier page, to be drawn at the top
};
using Page = std::vector<Placed>;

/// Shares blocks out to pages of `height`, with `continued_height` for the heading of a part that goes on. A group is
/// kept whole where one page holds it, a heading stays with what follows, and a group that must be torn leaves two
/// blocks at least on either side where it has them. Where less than a third of the last page would be filled, the
/// pages before it are filled less.
std::vector<Page> paginate(std::vector<Block> const& blocks, double height, double continued_height);

} // namespace tabard::overlay::sheet
