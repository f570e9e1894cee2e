// Minutes and seconds as four decimal digits, 00:00 to 59:59.
module mmss_counter #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire        clk,
    input  wire        rst_n,
    output wire [15:0] digits     // {minute tens, minute ones, second tens, second ones}
);
    reg [23:0] clocks;
    reg [3:0]  d0, d1, d2, d3;

    wire second = clocks == CLK_HZ - 1;
    wire c0 = second && d0 == 4'd9;
    wire c1 = c0 && d1 == 4'd5;
    wire c2 = c1 && d2 == 4'd9;

    assign digits = {d3, d2, d1, d0};

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            clocks <= 24'd0;
            d0 <= 4'd0;
            d1 <= 4'd0;
            d2 <= 4'd0;
            d3 <= 4'd0;
        end else begin
            clocks <= second ? 24'd0 : clocks + 24'd1;
            if (second) d0 <= c0 ? 4'd0 : d0 + 4'd1;
            if (c0)     d1 <= c1 ? 4'd0 : d1 + 4'd1;
            if (c1)     d2 <= c2 ? 4'd0 : d2 + 4'd1;
            if (c2)     d3 <= d3 == 4'd5 ? 4'd0 : d3 + 4'd1;
        end
endmodule
