using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Rendering;

/// <summary>Holds a signal back by a whole number of frames; zeros come out first.</summary>
/// <param name="channels">1 or 2.</param>
/// <param name="delayFrames">0 copies.</param>
internal sealed class DelayRing(int channels, int delayFrames)
{
    private readonly double[] _held = new double[channels * delayFrames];
    private int _next;
    private long _silentFrames = delayFrames; // that went in last, one after the other

    /// <summary>Takes <paramref name="input"/> in and gives what came <c>delayFrames</c> earlier. The two never share memory.</summary>
    public void Process(Signal input, Signal output)
    {
        if (input.IsSilent && _silentFrames >= delayFrames)
        {
            output.Silence();
            return;
        }

        _silentFrames = input.IsSilent ? _silentFrames + input.Frames : 0;
        if (delayFrames == 0)
        {
            input.CopyTo(output);
            return;
        }

        var next = _next;
        for (var channel = 0; channel < channels; channel++)
        {
            var held = _held.AsSpan(channel * delayFrames, delayFrames);
            var taken = input[channel];
            var given = output[channel];
            next = _next;
            for (var done = 0; done < taken.Length;)
            {
                var count = Math.Min(taken.Length - done, delayFrames - next);
                var slot = held.Slice(next, count);
                slot.CopyTo(given[done..]);
                taken.Slice(done, count).CopyTo(slot);
                done += count;
                next = next + count == delayFrames ? 0 : next + count;
            }
        }

        _next = next;
    }
}
