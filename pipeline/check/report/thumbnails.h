#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"
#include "pipeline/timeline/timeline.h"

#include <filesystem>
#include <memory>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// Small pictures of the film with its overlays, for a report.
class Thumbnails {
public:
    /// `stage`: how the overlays are laid out; its raster size is not used. `timeline` is borrowed.
    /// Errors: as MediaReader and overlay::Painter.
    static Result<Thumbnails> open(std::filesystem::path const& footage, Timeline const& timeline,
                                   overlay::Stage const& stage, overlay::Theme const& theme, std::stop_token stop = {});
    Thumbnails(Thumbnails&&) noexcept;
    Thumbnails& operator=(Thumbnails&&) noexcept;
    ~Thumbnails();

    /// The picture on screen just after `time`, its overlays faded in, as "data:image/png;base64,...". Empty where it
    /// cannot be read, and from the sixtieth different picture on: a report is to stay small.
    std::string at(Time time);

private:
    struct Impl;
    explicit Thumbnails(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
