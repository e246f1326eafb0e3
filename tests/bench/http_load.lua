-- wrk: the addresses of the file named in HTTP_QUESTIONS, one after the other; counts answers that are none.
local questions = {}
local file = os.getenv("HTTP_QUESTIONS")
if file and file ~= "" then
  for line in io.lines(file) do
    if line:sub(1, 1) == "/" then questions[#questions + 1] = line end
  end
end
if #questions == 0 then questions[1] = "/4k.json" end
local at = 0
local threads = {}

function setup(thread) threads[#threads + 1] = thread end

function init() wrong = 0 end

function request()
  at = at % #questions + 1
  return wrk.format("GET", questions[at])
end

function response(status) if status ~= 200 then wrong = wrong + 1 end end

function done(summary, latency)
  local bad = summary.errors.connect + summary.errors.read + summary.errors.write + summary.errors.timeout
  for _, thread in ipairs(threads) do bad = bad + thread:get("wrong") end
  print(string.format("RESULT %.0f %.2f %.2f %d", summary.requests / (summary.duration / 1e6), latency:percentile(50) / 1e3,
                      latency:percentile(99) / 1e3, bad))
end
