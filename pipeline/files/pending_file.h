#pragma once
#include "pipeline/files/output_file.h"

namespace tabard::pipeline {

using PendingFile = OutputFile;

} // namespace tabard::pipeline
