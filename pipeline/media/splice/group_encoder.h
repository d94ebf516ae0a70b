#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/decoded_picture.h"
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/media/write/encoder_settings.h"

#include <functional>
#include <memory>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// Names the encoder that this build of the library brings, and its version.
std::string encoder_identity();

/// Codes groups of a film anew so that they fit among its other groups: same times, profile and level, parameter sets
/// of their own number, no deeper reordering, no more reference pictures. The same input gives the same bytes always.
/// Any number of threads may call it at once.
class GroupEncoder {
public:
    /// `settings`: crf and preset are used. `source` is borrowed; it came from `film`. Errors: unsupported if the
    /// encoder refuses.
    static Result<GroupEncoder> create(CodedFilm& film, SpliceSource const& source, EncoderSettings const& settings);
    GroupEncoder(GroupEncoder&&) noexcept;
    GroupEncoder& operator=(GroupEncoder&&) noexcept;
    ~GroupEncoder();

    /// The film's decoder configuration with the sets of new groups beside its own.
    AvcConfiguration const& configuration() const;

    /// Decodes `group`, hands each picture to `draw` in order of presentation, and codes what comes back. Errors:
    /// unsupported with a reason where the result would not fit (a picture that cannot be decoded, times that leave no
    /// room); interrupted.
    Result<CodedGroup> encode(CodedGroup const& group, std::function<void(DecodedPicture&)> const& draw,
                              std::stop_token stop = {}) const;
    /// How many threads one encode() of a group of so many pictures keeps busy.
    static int threads(std::size_t pictures);
    /// What it holds in pictures meanwhile, about. Measured.
    std::int64_t bytes_in_work(std::size_t pictures) const;

    /// The pictures of a group of the film, its own or a new one, in order of presentation. Errors: decode if one
    /// cannot be decoded.
    Result<void> decode(CodedGroup const& group, std::function<Result<void>(DecodedPicture)> const& take) const;

private:
    struct Impl;
    explicit GroupEncoder(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
