-- Signed messages for the load tool wrk: `wrk -t2 -c64 -d20s -s tests/bench/load.lua http://127.0.0.1:8484`
-- The messages are in the file that TALLYHAND_SIGNED_REQUESTS names, a line each: id, time, signature, body, with tabs
-- between. They are good for five minutes. Each thread sends its own share, each message once.

local threads = 0

function setup(thread)
  thread:set("own", threads)
  threads = threads + 1
end

function init()
  lines = {}
  local number = 0
  for line in io.lines(os.getenv("TALLYHAND_SIGNED_REQUESTS")) do
    if number % 2 == own % 2 then
      lines[#lines + 1] = line
    end
    number = number + 1
  end
  sent = 0
end

function request()
  sent = sent + 1
  local line = lines[(sent - 1) % #lines + 1]
  local id, at, signature, body = line:match("^(.-)\t(.-)\t(.-)\t(.*)$")
  local headers = { ["webhook-id"] = id, ["webhook-timestamp"] = at, ["webhook-signature"] = signature }
  return wrk.format("POST", "/hooks/signed", headers, body)
end
