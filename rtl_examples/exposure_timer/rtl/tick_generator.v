// One tick, one clock wide, every CLK_HZ clocks: one a second.
module tick_generator #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire clk,
    input  wire rst_n,
    output reg  tick
);
    reg [23:0] count;

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            count <= 24'd0;
            tick  <= 1'b0;
        end else if (count == CLK_HZ - 1) begin
            count <= 24'd0;
            tick  <= 1'b1;
        end else begin
            count <= count + 24'd1;
            tick  <= 1'b0;
        end
endmodule
