namespace RenderGraph.Graph.Planning;

/// <summary>
/// Gives every signal a place in memory for as long as somebody still takes from it, and reuses places. What a unit gives never shares a place with what it
/// takes; what stays inside a lane needs none.
/// </summary>
internal static class BufferAssignment
{
    /// <summary>Turns units in order into the plan's steps.</summary>
    /// <param name="bufferCount">Planes needed, one a channel.</param>
    public static IReadOnlyList<PlanStep> Assign(IReadOnlyList<WorkUnit> ordered, out int bufferCount)
    {
        var lastUnit = new Dictionary<DraftStep, int>(); // that still takes what the step gave
        for (var unit = 0; unit < ordered.Count; unit++)
        {
            foreach (var lane in ordered[unit].Lanes)
                lastUnit[lane[^1]] = unit;
            foreach (var input in ordered[unit].Inputs)
                lastUnit[input] = unit;
        }

        var indexOf = ordered.SelectMany(unit => unit.Steps).Select((step, index) => (step, index)).ToDictionary(pair => pair.step, pair => pair.index);
        var buffers = new BufferPool();
        var steps = new List<PlanStep>();
        var groupCount = 0;
        for (var unit = 0; unit < ordered.Count; unit++)
        {
            var group = ordered[unit].IsGroup ? groupCount++ : -1;
            foreach (var lane in ordered[unit].Lanes)
            {
                foreach (var step in lane)
                {
                    var buffer = step == lane[^1] && step.GivesSignal ? buffers.Take(step.Channels) : -1;
                    steps.Add(step.Finish(step, [.. step.Inputs.Select(input => indexOf[input])], buffer, group));
                }
            }

            var given = ordered[unit].Lanes.Select(lane => lane[^1]);
            foreach (var done in ordered[unit].Inputs.Concat(given).Where(step => step.GivesSignal && lastUnit[step] == unit))
                buffers.Return(steps[indexOf[done]].FirstBuffer, done.Channels);
        }

        bufferCount = buffers.Count;
        return steps;
    }

    /// <summary>Planes lent out; those of mono and of stereo signals apart, since a stereo signal's two lie together.</summary>
    private sealed class BufferPool
    {
        private readonly Dictionary<int, Stack<int>> _free = new() { [1] = new(), [2] = new() };

        public int Count { get; private set; }

        public int Take(int channels)
        {
            if (_free[channels].TryPop(out var buffer))
                return buffer;
            Count += channels;
            return Count - channels;
        }

        public void Return(int firstBuffer, int channels) => _free[channels].Push(firstBuffer);
    }
}
