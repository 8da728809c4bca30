using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Draws how deep a keyed cut is from a list of hits. Each hit has half a period of a cosine down that arrives at its onset, a hold, and half a period back up: before and after that
/// the depth is exactly 0. Where hits overlap, the deepest counts. No slope is steeper than <see cref="SteepestDbPerMs"/>, for which a fall begins earlier and a release takes longer.
/// </summary>
internal sealed class HitCurve
{
    /// <summary>Steeper than this, a cut in a low sine can be heard as a click. Common practice, no source; <c>KeyedCutHitsTests</c> measures what is left.</summary>
    public const double SteepestDbPerMs = 4;

    private readonly Cut[] _cuts; // by their beginnings
    private readonly double _longestFrames;
    private int _first;

    public HitCurve(KeyedCutParameters parameters, int sampleRateHz)
    {
        var framesPerMs = sampleRateHz / 1000.0;
        _cuts = [.. parameters.Hits!.Select(hit => CutOf(hit, parameters, framesPerMs)).OrderBy(cut => cut.FromFrame)];
        _longestFrames = _cuts.Select(cut => cut.EndFrame - cut.FromFrame).DefaultIfEmpty(0).Max();
    }

    /// <summary>The depth at a frame of the song. Frames are asked for in rising order.</summary>
    public double DepthDb(long frame)
    {
        while (_first < _cuts.Length && _cuts[_first].FromFrame + _longestFrames < frame)
            _first++;
        var depthDb = 0.0;
        for (var index = _first; index < _cuts.Length && _cuts[index].FromFrame < frame; index++)
            depthDb = Math.Max(depthDb, _cuts[index].DepthDb(frame));
        return depthDb;
    }

    private static Cut CutOf(Hit hit, KeyedCutParameters parameters, double framesPerMs)
    {
        var depthDb = parameters.DepthDb * (1 - (parameters.StrengthFraction * (1 - Math.Min(1, hit.Strength))));

        // The middle of such a cosine is half a pi times as steep as a straight line.
        var quickestMs = depthDb * (Math.PI / 2) / SteepestDbPerMs;
        var fallMs = Math.Max(Math.Min(parameters.AttackMs, parameters.LookaheadMs), quickestMs);
        var releaseMs = Math.Max(parameters.WholeReleaseMs, quickestMs);

        // Between two control steps the gain is a straight line: the step that an onset lies in begins at full depth.
        var fullFrame = hit.Frame - (ControlGrid.StepFrames - 1);
        var releaseFrame = hit.Frame + (parameters.HoldMs * framesPerMs);
        return new(fullFrame - (fallMs * framesPerMs), fullFrame, releaseFrame, releaseFrame + (releaseMs * framesPerMs), depthDb);
    }

    private readonly record struct Cut(double FromFrame, double FullFrame, double ReleaseFrame, double EndFrame, double FullDb)
    {
        public double DepthDb(long frame) =>
            frame >= EndFrame ? 0
            : frame > ReleaseFrame ? FullDb * Shape((EndFrame - frame) / (EndFrame - ReleaseFrame))
            : frame >= FullFrame ? FullDb
            : FullDb * Shape((frame - FromFrame) / (FullFrame - FromFrame));

        private static double Shape(double share) => (1 - PortableMath.Cos(Math.PI * share)) / 2;
    }
}
