namespace RenderGraph.Graph.Planning;

/// <summary>Gives every signal a place in memory for as long as somebody still takes from it, and reuses places. A step never shares a place with its own input.</summary>
internal static class BufferAssignment
{
    /// <summary>Turns drafts in order into the plan's steps.</summary>
    /// <param name="bufferCount">Planes needed, one a channel.</param>
    public static IReadOnlyList<PlanStep> Assign(IReadOnlyList<DraftStep> ordered, out int bufferCount)
    {
        var indexOf = ordered.Select((draft, index) => (draft, index)).ToDictionary(pair => pair.draft, pair => pair.index);
        var lastUse = new int[ordered.Count];
        for (var index = 0; index < ordered.Count; index++)
        {
            lastUse[index] = index;
            foreach (var input in ordered[index].Inputs)
                lastUse[indexOf[input]] = index;
        }

        var freeByChannels = new Dictionary<int, Stack<int>>();
        Stack<int> FreeOf(int channels) => freeByChannels.TryGetValue(channels, out var free) ? free : freeByChannels[channels] = new();

        var steps = new PlanStep[ordered.Count];
        bufferCount = 0;
        for (var index = 0; index < ordered.Count; index++)
        {
            var draft = ordered[index];
            var buffer = -1;
            if (draft.GivesSignal && !FreeOf(draft.Channels).TryPop(out buffer))
            {
                buffer = bufferCount;
                bufferCount += draft.Channels;
            }

            var inputs = draft.Inputs.Select(input => indexOf[input]).ToArray();
            steps[index] = draft.Finish(inputs, buffer);

            foreach (var done in inputs.Append(index).Distinct().Where(done => lastUse[done] == index && ordered[done].GivesSignal))
                FreeOf(ordered[done].Channels).Push(steps[done].FirstBuffer);
        }

        return steps;
    }
}
