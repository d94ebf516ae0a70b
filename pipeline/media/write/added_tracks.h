#pragma once
#include "pipeline/time/time.h"

#include <cstddef>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A track of captions in Advanced SubStation Alpha that a copy of a film gets besides its own.
struct AddedCaptions {
    struct Event {
        Time in{0}; ///< film time, whole milliseconds
        Time out{0};
        std::string fields; ///< those after the times, as Matroska carries them
        friend bool operator==(Event const&, Event const&) = default;
    };
    std::string title;
    bool shown_by_default = false;
    std::string header;
    std::vector<Event> events; ///< rising by `in`
};

/// A font or another file that goes with a film.
struct Attachment {
    std::string file_name;
    std::string mime_type;
    std::vector<std::byte> bytes;
};

struct AddedTracks {
    std::vector<AddedCaptions> captions;
    std::vector<Attachment> attachments;
    bool empty() const { return captions.empty() && attachments.empty(); }
};

} // namespace tabard::pipeline
