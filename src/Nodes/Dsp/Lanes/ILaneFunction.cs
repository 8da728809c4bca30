namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>A formula of one argument.</summary>
internal interface ILaneFunction
{
    /// <summary>Its value in every lane.</summary>
    T Apply<T>(T x) where T : unmanaged, IFormulaLanes<T>;
}
