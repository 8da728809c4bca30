using System.Globalization;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// Lets signals that meet have come equally far. What is early is not held back where they meet but as far up as it can be, best of all at the stem,
/// which is simply read later: that costs nothing. Only a signal that is wanted at two times is held back by a step of its own.
/// </summary>
internal static class PathAlignment
{
    /// <summary>What is patient, and what nobody but the patient takes from.</summary>
    private static HashSet<DraftStep> Patient(IReadOnlyList<DraftStep> drafts)
    {
        var impatient = new HashSet<DraftStep>();
        var taken = new HashSet<DraftStep>();
        var patient = new HashSet<DraftStep>();
        foreach (var draft in drafts.Reverse())
        {
            if (draft.IsPatient || (taken.Contains(draft) && !impatient.Contains(draft)))
                patient.Add(draft);
            else
                impatient.UnionWith(draft.Inputs);
            taken.UnionWith(draft.Inputs);
        }

        return patient;
    }

    /// <summary>The same steps with their latencies, and those that align.</summary>
    /// <param name="drafts">Each after all that it takes from.</param>
    public static IReadOnlyList<DraftStep> Of(IReadOnlyList<DraftStep> drafts)
    {
        var earliest = new Dictionary<DraftStep, int>();
        foreach (var draft in drafts)
            earliest.Add(draft, draft.Inputs.Select((input, index) => earliest[input] + draft.BehindFrames[index]).DefaultIfEmpty(0).Max());

        // Nobody is kept waiting: what nothing takes comes as early as it can, and all else when the first that takes it wants it.
        var latency = new Dictionary<DraftStep, int>();
        var patient = Patient(drafts);
        foreach (var draft in drafts.Where(draft => !patient.Contains(draft)).Reverse())
        {
            latency.TryAdd(draft, earliest[draft]);
            for (var index = 0; index < draft.Inputs.Count; index++)
            {
                var wanted = latency[draft] - draft.BehindFrames[index];
                var input = draft.Inputs[index];
                latency[input] = latency.TryGetValue(input, out var sooner) ? Math.Min(sooner, wanted) : wanted;
            }
        }

        // The patient come with the latest of what is fixed already; what takes nothing fixed comes when the first that takes it does, and at its earliest if nobody does.
        var free = new HashSet<DraftStep>();
        foreach (var draft in drafts.Where(patient.Contains))
        {
            var fixedInputs = draft.Inputs.Select((input, index) => (IsFixed: latency.TryGetValue(input, out var at), At: at + draft.BehindFrames[index])).Where(input => input.IsFixed).ToList();
            if (fixedInputs.Count > 0)
                latency.Add(draft, Math.Max(earliest[draft], fixedInputs.Max(input => input.At)));
            else
                free.Add(draft);
        }

        foreach (var draft in drafts.Reverse().Where(patient.Contains))
        {
            latency.TryAdd(draft, earliest[draft]);
            for (var index = 0; index < draft.Inputs.Count; index++)
            {
                var input = draft.Inputs[index];
                var wanted = latency[draft] - draft.BehindFrames[index];
                if (free.Contains(input))
                    latency[input] = latency.TryGetValue(input, out var sooner) ? Math.Min(sooner, wanted) : wanted;
            }
        }

        var aligned = new List<DraftStep>();
        var finished = new Dictionary<DraftStep, DraftStep>();
        var held = new Dictionary<(DraftStep From, int DelayFrames), DraftStep>();
        foreach (var draft in drafts)
        {
            var inputs = draft.Inputs.Select((input, index) =>
                HoldBack(finished[input], latency[draft] - draft.BehindFrames[index] - latency[input])).ToList();
            finished.Add(draft, draft with { Inputs = inputs, LatencyFrames = latency[draft] });
            aligned.Add(finished[draft]);
        }

        return aligned;

        DraftStep HoldBack(DraftStep from, int delayFrames)
        {
            if (delayFrames == 0)
                return from;
            if (held.TryGetValue((from, delayFrames), out var known))
                return known;
            var name = string.Create(CultureInfo.InvariantCulture, $"{from.Name} + {delayFrames}");
            var step = new DraftStep(name, [from], [delayFrames], from.Channels, GivesSignal: true, LaneNode: null, (self, inputs, buffer, _) =>
                new AlignStep(name, inputs, delayFrames, self.Channels, self.LatencyFrames, buffer))
            {
                LatencyFrames = from.LatencyFrames + delayFrames,
                OnlyAligns = true,
            };
            held.Add((from, delayFrames), step);
            aligned.Add(step);
            return step;
        }
    }
}
