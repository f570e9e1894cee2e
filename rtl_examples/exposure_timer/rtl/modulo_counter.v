// Counts 0 .. MODULO-1 while enabled. The carry marks the clock in which it wraps.
module modulo_counter #(
    parameter WIDTH  = 6,
    parameter MODULO = 60
) (
    input  wire             clk,
    input  wire             rst_n,
    input  wire             enable,
    output reg  [WIDTH-1:0] count,
    output wire             carry
);
    wire last = count == MODULO - 1;

    assign carry = enable && last;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            count <= {WIDTH{1'b0}};
        else if (enable)
            count <= last ? {WIDTH{1'b0}} : count + 1'b1;
endmodule
