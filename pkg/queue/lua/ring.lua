-- 'rung' notes that the doorbell of a queued job stands and when to look again; 'again' gives it a new epoch;
-- 'written' drops the row of an end that the documents now hold.
local mode, pause = ARGV[6], ARGV[7]
if mode == 'written' then
  redis.call('ZREM', base .. 'ends', id)
  return {'ok'}
end
if get('state') ~= 'queued' then
  redis.call('ZREM', base .. 'ring', id)
  return {'gone'}
end
if mode == 'again' then
  set('epoch', int(num('epoch') + 1))
else
  redis.call('ZADD', base .. 'ring', int(now + pause), id)
end
return {'queued', get('lane'), int(num('epoch'))}
