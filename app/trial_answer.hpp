#pragma once
// A trial as an answer of the command line.

#include "app/answer.hpp"
#include "core/wire/message.hpp"

namespace fettle::app {

Answer trial_answer(const wire::TrialReply& trial);

}  // namespace fettle::app
