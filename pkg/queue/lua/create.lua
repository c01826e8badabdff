-- Writes record, indexes, idempotency entry and outbox row in one go, or says which job the key already made.
-- With a state the job is ended at once; an old end is told again without event and row.
local created, member, lane, ref, refHash, batch = ARGV[6], ARGV[7], ARGV[8], ARGV[9], ARGV[10], ARGV[11]
local key, fingerprint, replay, old = ARGV[12], ARGV[13], ARGV[14], ARGV[15]
local state, manifest, problem, endedAt, attempts = ARGV[16], ARGV[17], ARGV[18], ARGV[19], ARGV[20]

if key ~= '' then
  local have = redis.call('GET', base .. 'idem:' .. key)
  if have then
    local cut = string.find(have, ' ', 1, true)
    local first = string.sub(have, cut + 1)
    if string.sub(have, 1, cut - 1) ~= fingerprint then return {'reused', first} end
    if first ~= id then return {'replayed', first} end
  elseif tonumber(replay) > 0 then
    redis.call('SET', base .. 'idem:' .. key, fingerprint .. ' ' .. id, 'PX', replay)
  end
end
if redis.call('EXISTS', job) == 1 then return {'exists', id} end

set('created', created, 'member', member, 'lane', lane, 'order_ref', ref, 'batch_id', batch, 'attempts', attempts,
  'epoch', '0', 'manifest', manifest, 'problem', problem, 'idem', key, 'fingerprint', fingerprint)
redis.call('ZADD', base .. 'jobs', 0, member)
if ref ~= '' then redis.call('ZADD', base .. 'jobs:ref:' .. refHash, 0, member) end
if batch ~= '' then redis.call('ZADD', base .. 'jobs:batch:' .. batch, 0, member) end
if state == '' then
  move('queued')
  redis.call('ZADD', base .. 'ring', int(now), id)
  event('queued')
elseif old == '0' then
  finish(state)
  set('ended', endedAt)
else
  set('ended', endedAt)
  move(state)
  redis.call('PEXPIRE', job, retention)
end
return {'created', id}
