#pragma once
#include "pipeline/retime/edl_events.h"

namespace tabard::pipeline {

/// Labels of the new film that go on at 00:00:00:00 after 23:59:59 are those of the next day. A list has passed
/// midnight where its labels leave half a day or more empty between them; `remarks` then says so. Fails where a rate
/// has no labels.
Result<void> continue_past_midnight(std::vector<EdlEvent>& events, FrameRate rate, std::vector<std::string>& remarks);

} // namespace tabard::pipeline
