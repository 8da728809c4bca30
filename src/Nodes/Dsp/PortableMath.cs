namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Elementary functions whose bits are the same on every machine: only <c>+ - * /</c>, square root, rounding and bit patterns in a fixed order.
/// </summary>
public static class PortableMath
{
}
