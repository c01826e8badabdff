-- What every script shares. KEYS[1] is the job's hash; every further key is base .. name, in the same slot.
--   jobs, jobs:state:S, jobs:ref:H, jobs:batch:B   sorted indexes of members "created:id", all scores 0
--   ring     queued jobs, score = when their doorbell is to be looked at (ms)
--   leases   running jobs, score = when the lease dies (ms)
--   waiting  queued jobs that found their shop's limit reached, score = since when (ms)
--   ends     ended jobs whose end is not yet in the documents
-- Time is Redis's own, so no worker's clock matters.
local base, id, shop, prefix, retention = ARGV[1], ARGV[2], ARGV[3], ARGV[4], ARGV[5]
local job, events = KEYS[1], ARGV[1] .. 'events:' .. ARGV[2]
local clock = redis.call('TIME')
local now = tonumber(clock[1]) * 1000 + math.floor(tonumber(clock[2]) / 1000)

local function int(n) return string.format('%.0f', n) end
local function get(field) return redis.call('HGET', job, field) or '' end
local function set(...) redis.call('HSET', job, ...) end
local function num(field) return tonumber(get(field)) or 0 end
local function ended(state) return state == 'done' or state == 'failed' or state == 'canceled' end

-- move changes the state and its index together.
local function move(to)
  local member, from = get('member'), get('state')
  if from ~= '' then redis.call('ZREM', base .. 'jobs:state:' .. from, member) end
  redis.call('ZADD', base .. 'jobs:state:' .. to, 0, member)
  set('state', to)
end

-- event appends what just happened to the job's stream and wakes who watches.
local function event(kind)
  redis.call('XADD', events, 'MAXLEN', 256, '*', 'type', kind, 'state', get('state'), 'attempts', int(num('attempts')),
    'done', int(num('done')), 'total', int(num('total')), 'stage', get('stage'), 'problem', get('problem'))
  redis.call('PUBLISH', prefix .. ':wake', shop .. '/' .. id)
end

-- finish ends the job: state, event and the row that the documents are to be written from, in one step.
local function finish(state)
  set('ended', int(now))
  move(state)
  redis.call('ZREM', base .. 'ring', id)
  redis.call('ZREM', base .. 'waiting', id)
  redis.call('ZREM', base .. 'leases', id)
  redis.call('ZADD', base .. 'ends', int(now), id)
  event(state)
  redis.call('PEXPIRE', job, retention)
  redis.call('PEXPIRE', events, retention)
end

-- requeue puts the job back in line, its doorbell due after pause ms under a new epoch.
local function requeue(pause)
  set('token', '', 'lease_until', '0', 'stage', '', 'done', '0', 'epoch', int(num('epoch') + 1))
  move('queued')
  redis.call('ZREM', base .. 'leases', id)
  redis.call('ZADD', base .. 'ring', int(now + pause), id)
  event('queued')
end
